// What views lean on: the open visit, a test's result, its trace.
import {useEffect, useState} from 'preact/hooks';
import {signal, type Signal} from '@preact/signals';
import {get, getText, asFault, type Fault} from './api';
import {visitStore, type VisitStore} from './store';
import type {Result} from '../types/result';

export function useVisit(id: string): VisitStore {
  const store = visitStore(id);
  useEffect(() => {
    store.users++;
    void store.fetch();
    return () => {
      store.users--;
    };
  }, [store]);
  return store;
}

export const fileOf = (visit: string, slot: string, name: string): string => `/api/visits/${visit}/tests/${slot}/files/${name}`;
export const screenFile = (visit: string, name: string): string => `/api/visits/${visit}/screen/${name}`;

interface Fetched<T> {value: T | null; fault: Fault | null}
const cache = new Map<string, Signal<Fetched<unknown>>>();

// By address: what was begun in this window and is not applied yet. It outlives the view that shows it.
export const begun = new Map<string, unknown>();

// Nothing of an erased person stays in this window.
export const forgetFiles = (): void => {
  cache.clear();
  begun.clear();
};

// Fetched once for each `stamp`: what says that the file is another one now.
function cached<T>(path: string, stamp: string, fetcher: (path: string) => Promise<T>): Signal<Fetched<T>> {
  const key = `${path} ${stamp}`;
  let held = cache.get(key) as Signal<Fetched<T>> | undefined;
  if (!held) {
    held = signal<Fetched<T>>({value: null, fault: null});
    if (cache.size > 60) cache.clear();
    cache.set(key, held as Signal<Fetched<unknown>>);
    const into = held;
    fetcher(path).then(value => (into.value = {value, fault: null}))
      .catch(error => {
        into.value = {value: null, fault: asFault(error)};
        setTimeout(() => cache.delete(key), 3000);  // then it may be tried again; not with every look at it
      });
  }
  return held;
}

// Null while there is none. `stamp` is the test's `measured_at`.
export function useResult(visit: string, slot: string, measured: boolean, stamp: string): Fetched<Result> {
  if (!measured) return {value: null, fault: null};
  return cached<Result>(fileOf(visit, slot, 'result.json'), stamp, get).value;
}

export const useFile = <T>(path: string | null, stamp: string): Fetched<T> =>
  path === null ? {value: null, fault: null} : cached<T>(path, stamp, get).value;

export interface Table {columns: Record<string, (number | null)[]>; rows: number}

const readTable = (text: string): Table => {
  const lines = text.split(/\r?\n/).filter(Boolean);
  const names = (lines.shift() ?? '').split(',');
  const columns: Record<string, (number | null)[]> = Object.fromEntries(names.map(name => [name, [] as (number | null)[]]));
  for (const line of lines) {
    const cells = line.split(',');
    names.forEach((name, n) => columns[name]!.push(cells[n] === '' || cells[n] === undefined ? null : Number(cells[n])));
  }
  return {columns, rows: lines.length};
};

export function useTrace(visit: string, slot: string, stamp: string, wanted: boolean): Fetched<Table> {
  if (!wanted) return {value: null, fault: null};
  return cached<Table>(fileOf(visit, slot, 'trace.csv'), stamp, async path => readTable(await getText(path))).value;
}

// A value that is shown for a while and then taken away: "saved", "copied".
export function useFlash(ms = 3000): [boolean, () => void] {
  const [on, setOn] = useState(false);
  useEffect(() => {
    if (!on) return;
    const timer = setTimeout(() => setOn(false), ms);
    return () => clearTimeout(timer);
  }, [on]);
  return [on, () => setOn(true)];
}
