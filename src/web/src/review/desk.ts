// The corrections being made: those that the result has, those added since, and what they come to.
import {useEffect, useRef, useState} from 'preact/hooks';
import {asFault, get, post, put, type Fault} from '../kit/api';
import {slotPath} from '../pages/clip';
import type {Correction, CorrectionFile, Counted, Draft} from './model';

export interface Desk {
  list: Correction[]; kept: number; added: number; counted: Counted | null; fault: Fault | null; busy: boolean;
  add: (draft: Draft, by: string, why: string) => void; undo: () => void; remove: (index: number) => void; apply: () => Promise<boolean>;
  ask: (settings: Record<string, number>) => Promise<Counted | null>;
}

const fileOf = (list: Correction[]): CorrectionFile => ({schema: 'risetrace/corrections/1', corrections: list});

export function useDesk(visit: string, slot: string, stamp: string): Desk {
  const path = slotPath(visit, slot);
  const [list, setList] = useState<Correction[]>([]);
  const [kept, setKept] = useState<Correction[] | null>(null);
  const [counted, setCounted] = useState<Counted | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const [busy, setBusy] = useState(false);
  const asked = useRef(0);
  useEffect(() => {
    get<CorrectionFile>(`${path}/corrections`).then(file => {
      setKept(file.corrections);
      setList(file.corrections);
    }).catch(error => setFault(asFault(error)));
  }, [path, stamp]);
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
      await put(`${path}/corrections`, fileOf(list));
      return true;
    } catch (error) {
      setFault(asFault(error));
      return false;
    } finally {
      setBusy(false);
    }
  };
  const before = kept ?? [];
  let alike = 0;
  while (alike < before.length && alike < list.length && list[alike] === before[alike]) alike++;
  return {list, kept: before.length, added: list.length - alike + (before.length - alike), counted, fault, busy, add, apply,
          undo: () => setList(old => old.slice(0, -1)), remove: index => setList(old => old.filter((_one, n) => n !== index)),
          ask: settings => recount(list, settings).catch(() => null)};
}
