// What the server says of itself, once.
import {signal, effect} from '@preact/signals';
import {get, online, wantsCode} from './api';

export interface Quantity {key: string; test: string; unit: string; decimals: number; better: 'more' | 'less' | 'neither'; by_hand?: [number, number]}
type Model = Record<string, {value: number} | undefined>;  // a file of models/: each value with its mark and source
export interface About {
  version: string; lan: boolean; phone: boolean; languages?: string[]; quantities?: Quantity[]; fingerprint?: string | null;
  protocols?: {heel_raise?: Model; hop?: Model};
}
export interface Question {key: string; means: 'refer-same-day' | 'refer' | 'no-hops' | 'care'}

export const about = signal<About | null>(null);
export const questions = signal<Question[]>([]);
export const painStop = signal<number | null>(null);

export function loadAbout(): void {
  effect(() => {
    if (!online.value || wantsCode.value || about.peek()) return;
    get<About>('/api/about').then(said => (about.value = said)).catch(() => undefined);
    get<{pain_stop: {value: number}; questions: Question[]}>('/api/cautions').then(said => {
      questions.value = said.questions;
      painStop.value = said.pain_stop.value;
    }).catch(() => undefined);
  });
}

export const quantity = (key: string): Quantity | undefined => about.value?.quantities?.find(one => one.key === key);

export const protocol = (test: 'heel_raise' | 'hop', key: string): number | null => about.value?.protocols?.[test]?.[key]?.value ?? null;
