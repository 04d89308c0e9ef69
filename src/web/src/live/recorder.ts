// The recording, sent piece by piece in order while it is made. What cannot be sent waits here until the server is back.
import {putRaw, whenOnline, Fault, asFault} from '../kit/api';

// H.264 in Matroska comes out every quarter of a second; an MP4 would come every few seconds only.
const kinds = ['video/x-matroska;codecs=avc1', 'video/webm;codecs=vp9', 'video/webm;codecs=vp8', 'video/webm', 'video/mp4'];
export const recordingKind = (): string | null =>
  typeof MediaRecorder === 'undefined' ? null : kinds.find(kind => MediaRecorder.isTypeSupported(kind)) ?? null;

const piece_ms = 100;
const bits_per_s = 12_000_000;  // a sticker's edge is to be seen, not a film to be small

export interface Recording {stop: () => Promise<void>; startedAt: () => number}

// `failed` is called at most once, with what the server would not take.
export function record(stream: MediaStream, kind: string, path: string, failed: (fault: Fault) => void): Recording {
  const recorder = new MediaRecorder(stream, {mimeType: kind, videoBitsPerSecond: bits_per_s});
  const waiting: Blob[] = [];
  let n = 0;
  let sending = false;
  let refused = false;
  let began = performance.now();
  let drained: (() => void) | null = null;

  const send = async (): Promise<void> => {
    if (sending) return;
    sending = true;
    while (waiting.length && !refused) {
      try {
        await putRaw(`${path}?n=${n}`, waiting[0]!);
        waiting.shift();
        n++;
      } catch (error) {
        const fault = asFault(error);
        const wanted = (fault.body as {n?: number} | null)?.n;
        if (fault.code === 'offline') {
          await whenOnline();
        } else if (fault.code === 'wrong-piece' && wanted === n + 1) {  // it had come, only the answer was lost
          waiting.shift();
          n++;
        } else {
          refused = true;
          failed(fault);
        }
      }
    }
    sending = false;
    if (!waiting.length || refused) drained?.();
  };

  recorder.onstart = () => {
    began = performance.now();
  };
  recorder.ondataavailable = event => {
    if (!event.data.size) return;
    waiting.push(event.data);
    void send();
  };
  const ended = new Promise<void>(resolve => {
    recorder.onstop = () => resolve();
  });
  recorder.start(piece_ms);
  return {
    startedAt: () => began,
    stop: async () => {
      if (recorder.state !== 'inactive') recorder.stop();
      await ended;
      if (waiting.length && !refused) {
        await new Promise<void>(resolve => {
          drained = resolve;
          void send();
        });
      } else if (sending) {
        await new Promise<void>(resolve => {
          drained = resolve;
        });
      }
    }};
}
