// The corrections being made: those that the result has, those added since, and what they come to.
import {useEffect, useRef, useState} from 'preact/hooks';
import {asFault, get, post, put, type Fault} from '../kit/api';
import {begun} from '../kit/use';
import {slotPath} from '../pages/clip';
import type {Correction, CorrectionFile, Counted, Draft} from './model';

export interface Desk {
  list: Correction[]; kept: number; added: number; counted: Counted | null; fault: Fault | null; busy: boolean;
  ready: boolean; load: () => void;  // until the result's own corrections are there none can be added
  others: boolean;  // another window's corrections came among those being made here
  add: (draft: Draft, by: string, why: string) => void; undo: () => void; remove: (index: number) => void; apply: () => Promise<boolean>;
  ask: (settings: Record<string, number>) => Promise<Counted | null>;
}

const fileOf = (list: Correction[]): CorrectionFile => ({schema: 'risetrace/corrections/1', corrections: list});

// The server keeps fields in another order.
const inOrder = (value: unknown): unknown =>
  Array.isArray(value) ? value.map(inOrder)
  : value !== null && typeof value === 'object'
    ? Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)).map(([key, part]) => [key, inOrder(part)]))
  : value;
const asText = (value: unknown): string => JSON.stringify(inOrder(value));
const without = (list: Correction[], gone: Correction[]): Correction[] => list.filter(one => !gone.some(other => asText(one) === asText(other)));

// What was added and withdrawn here, laid over the list as another window left it.
const laidOver = (mine: Making, theirs: Correction[]): Correction[] => {
  const added = without(mine.list, mine.kept);
  return [...without(without(theirs, without(mine.kept, mine.list)), added), ...added];
};

// What is not in the result yet. It outlives a measuring that another window asked for, but not another clip.
interface Making {clip: string; kept: Correction[]; list: Correction[]}

// `clip`: the SHA-256 of the clip that is corrected; null while it is not known.
export function useDesk(visit: string, slot: string, stamp: string, clip: string | null): Desk {
  const path = slotPath(visit, slot);
  const [list, setList] = useState<Correction[]>([]);
  const [kept, setKept] = useState<Correction[] | null>(null);
  const [counted, setCounted] = useState<Counted | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const [busy, setBusy] = useState(false);
  const [others, setOthers] = useState(false);
  const asked = useRef(0);
  const fetchKept = async (): Promise<void> => {
    if (clip === null) return;
    const theirs = (await get<CorrectionFile>(`${path}/corrections`)).corrections;
    const held = begun.get(path) as Making | undefined;
    const mine = held?.clip === clip ? held : undefined;
    if (mine && asText(mine.kept) !== asText(theirs)) setOthers(true);
    setKept(theirs);
    setList(mine ? laidOver(mine, theirs) : theirs);
  };
  const load = (): void => void fetchKept().then(() => setFault(null)).catch(error => setFault(asFault(error)));
  useEffect(load, [path, stamp, clip]);
  useEffect(() => {
    if (kept === null || clip === null) return;
    if (asText(kept) === asText(list)) begun.delete(path);
    else begun.set(path, {clip, kept, list});
  }, [list, kept]);
  const recount = (of: Correction[], settings: Record<string, number> = {}): Promise<Counted> =>
    post<Counted>(`${path}/recount`, {corrections: fileOf(of), settings});
  useEffect(() => {
    if (kept === null) return;
    const mine = ++asked.current;
    recount(list).then(answer => {
      if (mine !== asked.current) return;
      setCounted(answer);
      setFault(null);
    }).catch(error => mine === asked.current && setFault(asFault(error)));
  }, [list, kept]);
  const add = (draft: Draft, by: string, why: string): void =>
    setList(old => [...old, {...draft, at: new Date().toISOString().replace(/\.\d+Z$/, 'Z'), by, why}]);
  const apply = async (): Promise<boolean> => {
    setBusy(true);
    try {
      await put(`${path}/corrections`, {corrections: fileOf(list), instead_of: kept ?? []});
      begun.delete(path);
      setOthers(false);
      return true;
    } catch (error) {
      const refused = asFault(error);
      if (refused.code === 'stale-corrections') await fetchKept().catch(gone => setFault(asFault(gone)));
      else setFault(refused);
      return false;
    } finally {
      setBusy(false);
    }
  };
  const before = kept ?? [];
  let alike = 0;
  while (alike < before.length && alike < list.length && list[alike] === before[alike]) alike++;
  return {list, ready: kept !== null, load, kept: before.length, added: list.length - alike + (before.length - alike), counted, fault, busy, others, add, apply,
          undo: () => setList(old => old.slice(0, -1)), remove: index => setList(old => old.filter((_one, n) => n !== index)),
          ask: settings => recount(list, settings).catch(() => null)};
}
