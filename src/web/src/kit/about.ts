// What the server says of itself, once.
import {signal, effect} from '@preact/signals';
import {get, online, wantsCode} from './api';

export interface Quantity {key: string; test: string; unit: string; decimals: number; better: 'more' | 'less' | 'neither'; by_hand?: [number, number]}
type Values = Record<string, number | undefined>;  // of a file of models/
export interface Ladder {key: string; rungs: {key: string; seconds?: number[]; reps?: number[]; loaded?: boolean; beat_bpm?: number}[]}
export interface About {
  version: string; lan: boolean; phone: boolean; languages?: string[]; quantities?: Quantity[]; fingerprint?: string | null; unreadable_visits?: string[];
  protocol?: {heel_raise?: Values; hop?: Values}; entered?: boolean;
  protocols?: {ladders?: {ladders: Ladder[]}};
}
export interface Question {key: string; means: 'refer-same-day' | 'refer' | 'no-hops' | 'care'}

export const about = signal<About | null>(null);
export const questions = signal<Question[]>([]);
export const painStop = signal<number | null>(null);

export function loadAbout(): void {
  effect(() => {
    if (!online.value || wantsCode.value || about.peek()) return;
    get<About>('/api/about').then(said => {
      if (said.entered === false) wantsCode.value = true;
      else about.value = said;
    }).catch(() => undefined);
    get<{pain_stop: number; questions: Question[]}>('/api/cautions').then(said => {
      questions.value = said.questions;
      painStop.value = said.pain_stop;
    }).catch(() => undefined);
  });
}

export const quantity = (key: string): Quantity | undefined => about.value?.quantities?.find(one => one.key === key);

export const protocol = (test: 'heel_raise' | 'hop', key: string): number | null => about.value?.protocol?.[test]?.[key] ?? null;
