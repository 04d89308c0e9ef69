// What can be corrected, and how a correction is put: models/schema/corrections.schema.json.
import type {Rep, OneHop} from '../types/result';

export interface Correction {
  what: string; at: string; by: string; why: string; rep?: {peak_s: number}; hop?: {touchdown_frame: number};
  before?: Record<string, unknown> | null; after?: Record<string, unknown> | null;
}
export type Draft = Omit<Correction, 'at' | 'by' | 'why'>;
export interface CorrectionFile {schema: 'risetrace/corrections/1'; clip_sha256?: string; corrections: Correction[]}

// What a recount says, as far as it is shown.
export interface Counted {
  heel_raise: {reps: Rep[]; count: number; count_at: Record<string, number>; reference_height_cm: number | null; set_end: {why: string; t_s: number; frame: number}} | null;
  hop: {hops: OneHop[]; count: number; contact_ms: number | null} | null;
  automatic: {count: number; reference_height_cm?: number | null; contact_ms?: number | null} | null;
  needs_measuring: string[];
}

export type Which = 'start' | 'peak' | 'end' | 'touchdown' | 'takeoff' | 'set-end';
// One instant that can be gone to and moved. `of`: the rep's or hop's place in the list; null: the set's end.
export interface Event {key: string; of: number | null; n: number; which: Which; frame: number; t: number; tone: 'counted' | 'low' | 'not'}

// Frames and their times, as the trace has them; beyond it by the clip's rate.
export class Clock {
  constructor(private readonly frames: number[], private readonly times: number[], private readonly rate: number) {}
  timeOf(frame: number): number {
    const n = this.frames.length;
    if (n === 0) return frame / this.rate;
    let low = 0;
    let high = n - 1;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.frames[middle]! < frame) low = middle + 1;
      else high = middle;
    }
    return this.times[low]! + (frame - this.frames[low]!) / this.rate;
  }
  frameAt(time: number): number {
    const n = this.times.length;
    if (n === 0) return Math.round(time * this.rate);
    let low = 0;
    let high = n - 1;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.times[middle]! < time) low = middle + 1;
      else high = middle;
    }
    if (low > 0 && time - this.times[low - 1]! < this.times[low]! - time) low--;
    const rest = time - this.times[low]!;
    return this.frames[low]! + (low === 0 || low === n - 1 ? Math.round(rest * this.rate) : 0);
  }
}

export function eventsOf(counted: Counted, clock: Clock): Event[] {
  const all: Event[] = [];
  counted.heel_raise?.reps.forEach((rep, of) => {
    const tone = rep.low ? 'low' : rep.counted ? 'counted' : 'not';
    for (const [which, t] of [['start', rep.start_s], ['peak', rep.peak_s], ['end', rep.end_s]] as const)
      all.push({key: `${rep.address_s}-${which}`, of, n: rep.n, which, t, frame: clock.frameAt(t), tone});
  });
  counted.hop?.hops.forEach((hop, of) => {
    const tone = hop.counted ? 'counted' : 'not';
    all.push({key: `${hop.address_frame}-touchdown`, of, n: hop.n, which: 'touchdown', t: hop.touchdown_s, frame: hop.touchdown_frame, tone});
    if (hop.takeoff_frame !== null && hop.takeoff_s !== null)
      all.push({key: `${hop.address_frame}-takeoff`, of, n: hop.n, which: 'takeoff', t: hop.takeoff_s, frame: hop.takeoff_frame, tone});
  });
  const end = counted.heel_raise?.set_end;
  if (end) all.push({key: 'set-end', of: null, n: 0, which: 'set-end', t: end.t_s, frame: clock.frameAt(end.t_s), tone: 'not'});
  return all.sort((a, b) => a.t - b.t);
}

// The event put into another frame.
export function moveTo(counted: Counted, event: Event, frame: number, clock: Clock): Draft {
  const t_s = Number(clock.timeOf(frame).toFixed(6));
  if (event.of === null) return {what: 'set-end', before: {t_s: event.t}, after: {t_s}};
  if (counted.heel_raise) {
    const rep = counted.heel_raise.reps[event.of]!;
    const field = `${event.which}_s`;
    return {what: 'move', rep: {peak_s: rep.address_s!}, before: {[field]: event.t}, after: {[field]: t_s}};
  }
  const hop = counted.hop!.hops[event.of]!;
  const field = `${event.which}_frame`;
  return {what: 'move', hop: {touchdown_frame: hop.address_frame!}, before: {[field]: event.frame}, after: {[field]: frame}};
}

export function takeOut(counted: Counted, of: number, noLanding = false): Draft {
  if (counted.heel_raise) {
    const rep = counted.heel_raise.reps[of]!;
    return {what: 'take-out', rep: {peak_s: rep.address_s!}, before: {start_s: rep.start_s, peak_s: rep.peak_s, end_s: rep.end_s, height_cm: rep.height_cm}, after: null};
  }
  const hop = counted.hop!.hops[of]!;
  return {what: noLanding ? 'no-landing' : 'take-out', hop: {touchdown_frame: hop.address_frame!},
          before: {touchdown_frame: hop.touchdown_frame, takeoff_frame: hop.takeoff_frame}, after: null};
}

// "2026-03-02T10:15:00Z"
export const nowUtc = (): string => new Date().toISOString().replace(/\.\d+Z$/, 'Z');
