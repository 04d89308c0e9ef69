// What the server says of itself, once.
import {signal, effect} from '@preact/signals';
import {get, online, wantsCode} from './api';

export interface Quantity {key: string; test: string; unit: string; decimals: number; better: 'more' | 'less' | 'neither'; by_hand?: [number, number]}
export interface About {
  version: string; lan: boolean; phone: boolean; languages?: string[]; quantities?: Quantity[]; fingerprint?: string;
  protocol?: {heel_raise?: Record<string, number>; hop?: Record<string, number>}; pain_stop?: number;
}
export interface Question {key: string; means: 'refer-same-day' | 'refer' | 'no-hops' | 'care'}

export const about = signal<About | null>(null);
export const questions = signal<Question[]>([]);
export const painStop = signal<number | null>(null);

export function loadAbout(): void {
  effect(() => {
    if (!online.value || wantsCode.value || about.peek()) return;
    get<About>('/api/about').then(said => (about.value = said)).catch(() => undefined);
    get<{pain_stop?: number; questions: Question[]}>('/api/cautions').then(said => {
      questions.value = said.questions;
      if (typeof said.pain_stop === 'number') painStop.value = said.pain_stop;
    }).catch(() => undefined);
  });
}

export const quantity = (key: string): Quantity | undefined => about.value?.quantities?.find(one => one.key === key);
