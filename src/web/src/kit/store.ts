// One open visit as this window sees it: what the server has, and over it what was typed here and is not saved yet.
// Another window may change the same visit. Where it changed another field, both go on; where it changed the same one,
// the person is asked, and what was typed stays until then.
import {signal, computed, effect, type Signal, type ReadonlySignal} from '@preact/signals';
import {get, patch, asFault, lookFor, online, whenOnline, type Fault} from './api';
import {slotName, slotOf} from './slots';
import type {Session} from '../types/session';

export type State = 'empty' | 'uploading' | 'waiting' | 'measuring' | 'measured' | 'failed' | 'cancelled';
export interface Pain {before?: number | null; worst?: number | null; after?: number | null}
export interface SaidFault {code: string; what: string; why: string; do: string}
export interface TestState {
  state: State; stage?: string | null; share?: number | null; error?: SaidFault | null; uploaded?: number; size?: number; clip_name?: string | null;
  options?: Record<string, unknown>; corrections?: number; measured_at?: string | null;
  by_hand?: Record<string, number> | null; pain?: Pain | null; incline_deg?: number | null; marker?: string | null;
  remark?: string | null; keep_clip?: boolean | null; has_clip?: boolean; upload_name?: string | null;
  beneath?: State;  // what the test is at the server while another clip comes in over it
}
export interface ScreenState {
  state: 'none' | 'running' | 'ready' | 'stale' | 'failed'; stage?: string; share?: number; error?: SaidFault | null; made_at?: string | null;
  of_revision?: number; kept?: boolean;
}
export interface Visit {
  id: string; revision: number; quick: boolean; session: Session; tests: Record<string, TestState>; screen: ScreenState;
}
export type Path = string[];
export interface Clash {path: Path; mine: unknown; theirs: unknown}

const at = (whole: unknown, path: Path): unknown =>
  path.reduce<unknown>((part, key) => (part as Record<string, unknown> | null | undefined)?.[key], whole);

const placed = (whole: unknown, path: Path, value: unknown): unknown => {
  const [key, ...rest] = path;
  if (key === undefined) return value;
  const copy: Record<string, unknown> = {...(whole as Record<string, unknown> | null | undefined)};
  copy[key] = placed(copy[key], rest, value);
  return copy;
};

const same = (a: unknown, b: unknown): boolean => JSON.stringify(a ?? null) === JSON.stringify(b ?? null);

// Fields that are not there rather than null: an answer that was taken back, a number that was wiped out.
const bare = (value: unknown): unknown => {
  if (value === null || typeof value !== 'object' || Array.isArray(value)) return value;
  const left = Object.entries(value as Record<string, unknown>).filter(([, part]) => part !== null && part !== undefined && part !== '');
  return left.length ? Object.fromEntries(left) : null;
};

const entryFields = ['by_hand', 'pain', 'incline_deg', 'marker', 'remark', 'keep_clip'] as const;

// What a person wrote down of the tests, as the session has it: a list.
const entriesOf = (tests: Record<string, TestState>): Record<string, unknown>[] =>
  Object.entries(tests).flatMap(([name, test]) => {
    const slot = slotOf(name);
    const fields = Object.fromEntries(entryFields.map(field => [field, bare(test[field])]).filter(([, value]) => value !== null && value !== undefined && value !== '' && value !== false));
    return slot && Object.keys(fields).length
      ? [{test: slot.test, side: slot.side, ...(slot.knee ? {knee: slot.knee} : {}), ...fields}] : [];
  });

// The session's list laid to each test's own state.
const absorbed = (visit: Visit): Visit => {
  const tests: Record<string, TestState> = {};
  for (const [name, test] of Object.entries(visit.tests ?? {})) tests[name] = {...test};
  for (const entry of visit.session.tests ?? []) {
    const name = slotName(entry.test, entry.side, entry.knee ?? null);
    const fields = Object.fromEntries(entryFields.filter(field => field in entry).map(field => [field, entry[field]]));
    tests[name] = {...(tests[name] ?? {state: 'empty'}), ...fields} as TestState;
  }
  return {...visit, tests};
};

interface Pending {path: Path; value: unknown; base: unknown}

export class VisitStore {
  readonly server: Signal<Visit | null> = signal(null);
  readonly fault: Signal<Fault | null> = signal(null);
  readonly clashes: Signal<Clash[]> = signal([]);
  readonly saving: Signal<'saved' | 'saving' | 'waiting' | 'refused'> = signal('saved');
  readonly saveFault: Signal<Fault | null> = signal(null);
  private readonly pending: Signal<Map<string, Pending>> = signal(new Map());
  private timer: ReturnType<typeof setTimeout> | undefined;
  private running = false;
  private fetching = false;
  private again = false;
  readonly asked: Signal<'reading' | 'keep' | null> = signal(null);  // for which of the two the papers were wanted last
  users = 0;

  // What is to be seen: the server's, with what was typed here laid over it.
  readonly view: ReadonlySignal<Visit | null> = computed(() => {
    let visit: unknown = this.server.value;
    if (!visit) return null;
    for (const {path, value} of this.pending.value.values()) visit = placed(visit, path, value);
    return visit as Visit;
  });

  constructor(readonly id: string) {}

  async fetch(): Promise<void> {
    if (this.fetching) {
      this.again = true;
      return;
    }
    this.fetching = true;
    try {
      this.take(await get<Visit>(`/api/visits/${this.id}`));
      this.fault.value = null;
    } catch (error) {
      this.fault.value = asFault(error);
    }
    this.fetching = false;
    if (this.again) {
      this.again = false;
      void this.fetch();
    }
  }

  // An answer that was overtaken on its way says less than what is here.
  private take(visit: Visit): void {
    if (visit.revision >= (this.server.peek()?.revision ?? 0)) this.server.value = absorbed(visit);
  }

  edit(path: Path, value: unknown): void {
    const key = path.join('/');
    const map = new Map(this.pending.value);
    const held = map.get(key);
    const base = held ? held.base : at(this.server.value, path);  // nothing stood there: that is a base too
    map.set(key, {path, value, base});
    this.pending.value = map;
    this.saving.value = 'saving';
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.save(), 500);
  }

  // Settled when nothing typed here waits any more: before a screen is asked for or a visit is kept.
  async flush(): Promise<boolean> {
    clearTimeout(this.timer);
    for (let turn = 0; turn < 40 && this.pending.value.size > 0; ++turn) {
      if (this.clashes.value.length || this.saving.value === 'refused') return false;
      await this.save();
      if (this.running) await new Promise(resolve => setTimeout(resolve, 100));
    }
    return this.pending.value.size === 0;
  }

  change(part: (visit: Visit) => Visit): void {
    if (this.server.value) this.server.value = part(this.server.value);
  }

  takeTheirs(): void {
    this.drop(this.clashes.value.map(clash => clash.path.join('/')));
    this.clashes.value = [];
    void this.save();
  }

  keepMine(): void {
    const map = new Map(this.pending.value);
    for (const clash of this.clashes.value) {
      const held = map.get(clash.path.join('/'));
      if (held) map.set(clash.path.join('/'), {...held, base: clash.theirs});
    }
    this.pending.value = map;
    this.clashes.value = [];
    void this.save();
  }

  private drop(keys: string[]): void {
    const map = new Map(this.pending.value);
    for (const key of keys) map.delete(key);
    this.pending.value = map;
    if (map.size === 0) this.saving.value = 'saved';
  }

  private body(sent: Pending[]): Record<string, unknown> {
    const visit = this.server.value!;
    const session: Record<string, unknown> = {};
    let whole: unknown = visit;
    for (const {path, value} of sent) whole = placed(whole, path, value);
    for (const {path} of sent) {
      const [part, name] = path;
      if (part === 'session' && name) session[name] = name === 'person' ? at(whole, ['session', name]) : bare(at(whole, ['session', name]));
      if (part === 'tests') session.tests = entriesOf((whole as Visit).tests);
    }
    if (session.cautions === null) session.cautions = {};
    return {revision: visit.revision, session};
  }

  private async save(): Promise<void> {
    if (this.running || !this.server.value || this.pending.value.size === 0 || this.clashes.value.length) return;
    this.clashes.value = this.clashing();
    if (this.clashes.value.length) return;
    this.running = true;
    const sent = [...this.pending.value.values()];
    this.saving.value = 'saving';
    try {
      const answer = await patch<Visit>(`/api/visits/${this.id}`, this.body(sent));
      this.take(answer);
      this.saveFault.value = null;
      this.drop(sent.filter(item => this.pending.value.get(item.path.join('/')) === item).map(item => item.path.join('/')));
      this.rebase(sent);
    } catch (error) {
      await this.refused(asFault(error));
    }
    this.running = false;
    if (this.pending.value.size && !this.clashes.value.length && this.saving.value === 'saving') void this.save();
  }

  // What was typed on in a field meanwhile goes on from what has just been saved of it.
  private rebase(sent: Pending[]): void {
    const map = new Map(this.pending.value);
    for (const {path, value} of sent) {
      const typed = map.get(path.join('/'));
      if (typed) map.set(path.join('/'), {...typed, base: value});
    }
    this.pending.value = map;
  }

  // Fields that another window changed since typing began in them here.
  private clashing(): Clash[] {
    return [...this.pending.value.values()].flatMap(({path, value, base}) => {
      const theirs = at(this.server.value, path);
      return same(theirs, base) || same(theirs, value) ? [] : [{path, mine: value, theirs}];
    });
  }

  private async refused(fault: Fault): Promise<void> {
    if (fault.code === 'offline') {
      this.saving.value = 'waiting';
      await whenOnline();
      this.saving.value = 'saving';
      return;
    }
    if (fault.status !== 409) {
      this.saving.value = 'refused';
      this.saveFault.value = fault;
      return;
    }
    await this.fetch();
    this.clashes.value = this.clashing();
  }
}

const open = new Map<string, VisitStore>();

export function visitStore(id: string): VisitStore {
  let store = open.get(id);
  if (!store) {
    store = new VisitStore(id);
    open.set(id, store);
  }
  return store;
}

export interface Happening {visit?: string; slot?: string; what: string; [more: string]: unknown}
type Listener = (happening: Happening) => void;
const listeners = new Set<Listener>();

// Hears what the server tells; the returned function stops it.
export const hear = (listener: Listener): (() => void) => {
  listeners.add(listener);
  return () => listeners.delete(listener);
};

const progressFields = ['stage', 'share', 'uploaded', 'size'] as const;

function apply(happening: Happening): void {
  const store = happening.visit ? open.get(happening.visit) : undefined;
  if (!store || store.users === 0) return;
  const {slot, what} = happening;
  const state: State | null = what === 'upload' ? 'uploading' : what === 'job' && typeof happening.share === 'number' ? 'measuring' : null;
  if (!slot || !state) {
    void store.fetch();
    return;
  }
  const moved = Object.fromEntries(progressFields.filter(field => field in happening).map(field => [field, happening[field]]));
  store.change(visit => {
    const before = visit.tests[slot]?.beneath ?? visit.tests[slot]?.state;
    const beneath = state === 'uploading' && before !== 'empty' && before !== 'uploading' ? before : undefined;
    return {...visit, tests: {...visit.tests, [slot]: {...visit.tests[slot], state, beneath, ...moved} as TestState}};
  });
}

export function listen(): void {
  let source: EventSource | undefined;
  effect(() => {
    source?.close();
    if (!online.value) return;
    source = new EventSource('/api/events');
    let opened = 0;
    source.onopen = () => {
      if (opened++ > 0) for (const store of open.values()) if (store.users > 0) void store.fetch();
    };
    source.onerror = lookFor;
    source.onmessage = event => {
      const happening = JSON.parse(event.data as string) as Happening;
      apply(happening);
      for (const listener of listeners) listener(happening);
    };
    for (const store of open.values()) if (store.users > 0) void store.fetch();
  });
}
