// The beat, played on the sound card's own clock: each click is set to its exact time ahead of being heard, so nothing
// adds up and a busy page delays nothing. As `risetrace beat` plays it: four low, soft clicks run in at the first tempo;
// a high, loud one opens each tempo.
import {signal} from '@preact/signals';

export interface Step {bpm: number; beats: number | null}  // null: until it is stopped
export interface Click {t_s: number; bpm: number; kind: 'run-in' | 'opens' | 'beat'; step: number}

const runIn = 4;

// The N-th click from the beginning; null where the beat is over. Times come from sums of whole steps, not click by click.
export function clickAt(steps: Step[], n: number): Click | null {
  const first = steps[0];
  if (!first) return null;
  if (n < runIn) return {t_s: (n * 60) / first.bpm, bpm: first.bpm, kind: 'run-in', step: 0};
  let start = (runIn * 60) / first.bpm;
  let left = n - runIn;
  for (const [number, step] of steps.entries()) {
    if (step.beats === null || left < step.beats)
      return {t_s: start + (left * 60) / step.bpm, bpm: step.bpm, kind: left === 0 ? 'opens' : 'beat', step: number};
    start += (step.beats * 60) / step.bpm;
    left -= step.beats;
  }
  return null;
}

export const playing = signal<{id: string; click: Click | null} | null>(null);

const ahead_s = 1.6;  // pages in the background are woken once a second only
let stopNow: (() => void) | null = null;

const sound = (context: AudioContext, out: GainNode, click: Click, at: number): void => {
  const tone = context.createOscillator();
  const level = context.createGain();
  tone.frequency.value = click.kind === 'opens' ? 2200 : click.kind === 'run-in' ? 900 : 1500;
  const peak = click.kind === 'opens' ? 0.95 : click.kind === 'run-in' ? 0.35 : 0.7;
  level.gain.setValueAtTime(peak, at);
  level.gain.exponentialRampToValueAtTime(0.001, at + 0.03);
  tone.connect(level).connect(out);
  tone.start(at);
  tone.stop(at + 0.035);
};

export function stopBeat(): void {
  stopNow?.();
  stopNow = null;
  playing.value = null;
}

export async function playBeat(id: string, steps: Step[]): Promise<void> {
  stopBeat();
  const context = new AudioContext({latencyHint: 'interactive'});
  await context.resume();
  const out = context.createGain();
  out.connect(context.destination);
  const origin = context.currentTime + 0.25;
  const waiting: {click: Click; at: number}[] = [];
  let next = 0;
  const schedule = (): void => {
    for (let click = clickAt(steps, next); click && origin + click.t_s < context.currentTime + ahead_s; click = clickAt(steps, ++next)) {
      sound(context, out, click, origin + click.t_s);
      waiting.push({click, at: origin + click.t_s});
    }
  };
  schedule();
  playing.value = {id, click: null};
  const timer = setInterval(schedule, 200);
  let frame = 0;
  const watch = (): void => {
    const heard = context.currentTime - (context.outputLatency || 0);
    while (waiting[0] && waiting[0].at <= heard) playing.value = {id, click: waiting.shift()!.click};
    if (!waiting.length && !clickAt(steps, next)) return stopBeat();
    frame = requestAnimationFrame(watch);
  };
  frame = requestAnimationFrame(watch);
  stopNow = () => {
    clearInterval(timer);
    cancelAnimationFrame(frame);
    out.disconnect();
    void context.close();
  };
}
