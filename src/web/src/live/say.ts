// What is heard: tones made here, and the browser's own voice. Nothing is fetched, nothing is sent.
import {language} from '../kit/settings';

let context: AudioContext | null = null;

// To be called while a button is being pressed: browsers let a page sound only then.
export async function allowSound(): Promise<void> {
  context ??= new AudioContext({latencyHint: 'interactive'});
  await context.resume().catch(() => undefined);
}

const tone = (from: number, length: number, pitch: number): void => {
  if (!context) return;
  const at = context.currentTime + from;
  const source = context.createOscillator();
  const level = context.createGain();
  source.frequency.value = pitch;
  level.gain.setValueAtTime(0.0001, at);
  level.gain.exponentialRampToValueAtTime(0.9, at + 0.01);
  level.gain.setValueAtTime(0.9, at + length - 0.04);
  level.gain.exponentialRampToValueAtTime(0.0001, at + length);
  source.connect(level).connect(context.destination);
  source.start(at);
  source.stop(at + length);
};

export const soundEnd = (): void => {
  tone(0, 0.35, 880);
  tone(0.45, 0.6, 660);
};
export const soundLow = (): void => tone(0, 0.15, 440);

export function speak(text: string): void {
  if (typeof speechSynthesis === 'undefined') return;
  const words = new SpeechSynthesisUtterance(text);
  words.lang = language.value === 'de' ? 'de-DE' : 'en-GB';
  speechSynthesis.cancel();
  speechSynthesis.speak(words);
}

export function quiet(): void {
  if (typeof speechSynthesis !== 'undefined') speechSynthesis.cancel();
  void context?.close();
  context = null;
}
