// Words: the page's own (words/*.json), and those of the papers, which the server has (models/words/), so that nothing is worded twice.
import {signal, effect} from '@preact/signals';
import en from '../words/en.json';
import de from '../words/de.json';
import {get, online} from './api';
import {language, type Language} from './settings';

type Words = Record<string, string>;
export type Key = keyof typeof en;
type Values = Record<string, string | number>;

const own: Record<Language, Words> = {en, de};

interface ServerWords {language?: string; clinician: Words; runner: Words}
const served = signal<ServerWords>({clinician: {}, runner: {}});

const fill = (text: string, values: Values): string =>
  text.replace(/\{([a-z_]+)\}/g, (whole, name: string) => (name in values ? String(values[name]) : whole));

// The page's own words. `n` chooses the singular where there is one (KEY.one).
export function t(key: Key, values: Values = {}): string {
  const words = own[language.value];
  const singular = values.n === 1 ? words[`${key}.one`] : undefined;
  return fill(singular ?? words[key] ?? en[key] ?? key, values);
}

// What a fault of the server's is called and what helps, in the page's own words; empty where it has none.
export const faultWords = (code: string): {title: string; todo: string} =>
  ({title: own[language.value][`fault.${code}`] ?? '', todo: own[language.value][`fault.${code}.do`] ?? ''});
export const programSpeaks = (): boolean => language.value === 'en';

// Words of the clinician's paper; an unknown key is shown as it is rather than hidden.
export const said = (key: string, values: Values = {}): string => fill(served.value.clinician[key] ?? key, values);
export const saidOr = (key: string, other: string, values: Values = {}): string => fill(served.value.clinician[key] ?? other, values);
export const toRunner = (key: string, values: Values = {}): string => fill(served.value.runner[key] ?? key, values);
export const wordsHere = (): boolean => Object.keys(served.value.clinician).length > 0;

export function loadWords(): void {
  effect(() => {
    const wanted = language.value;
    if (!online.value) return;
    if (served.peek().language === wanted) return;
    get<ServerWords>(`/api/words/${wanted}`)
      .then(({clinician, runner}) => {
        if (language.peek() === wanted) served.value = {language: wanted, clinician, runner};
      })
      .catch(() => undefined);
  });
}

export const decimalMark = (): string => (language.value === 'de' ? ',' : '.');

// A number as people of the language write it. What is not known is a dash, never 0.
export function num(value: number | null | undefined, decimals = 0): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–';
  const text = Math.abs(value).toFixed(decimals).replace('.', decimalMark());
  return value < 0 && Number(value.toFixed(decimals)) !== 0 ? `−${text}` : text;
}

// A number with its standard uncertainty beside it, where that is known: with so many decimals that the uncertainty shows.
export const numU = (value: number | null | undefined, u: number | null | undefined, decimals = 0): string => {
  if (value === null || value === undefined) return '–';
  if (u === null || u === undefined) return num(value, decimals);
  let fine = decimals === 0 && u < 10 ? 1 : decimals;
  while (u > 0 && u < 0.5 * 10 ** -fine && fine < decimals + 3) ++fine;
  return `${num(value, fine)} ± ${num(u, fine)}`;
};

// What a person typed: a comma or a point; null: nothing, undefined: no number.
export function parseNumber(text: string): number | null | undefined {
  const plain = text.trim().replace(',', '.');
  if (plain === '') return null;
  if (!/^[-−]?\d+(\.\d+)?$/.test(plain)) return undefined;
  return Number(plain.replace('−', '-'));
}

export function day(date: string): string {
  const [year, month, dayOfMonth] = date.split('-');
  if (!year || !month || !dayOfMonth) return date;
  const name = served.value.clinician[`month.${Number(month)}`];
  return name ? said('date', {day: Number(dayOfMonth), month: name, year}) : date;
}

export const bytes = (count: number): string =>
  count < 1e6 ? `${num(count / 1e3)} kB` : count < 1e9 ? `${num(count / 1e6, 1)} MB` : `${num(count / 1e9, 2)} GB`;
