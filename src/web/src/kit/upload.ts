// A clip on its way to the server, in pieces; where the line breaks it goes on from what has arrived.
import {signal, type Signal} from '@preact/signals';
import {asFault, Fault, get, post, putRaw, whenOnline} from './api';

const pieceBytes = 4 * 1024 * 1024;

export interface Sending {name: string; size: number; sent: number; state: 'sending' | 'waiting' | 'done' | 'failed' | 'stopped'; fault: Fault | null}
interface Running {sending: Signal<Sending>; abort: AbortController}
const running = new Map<string, Running>();
const none = signal<Sending | null>(null);

export const sendingOf = (key: string): Signal<Sending | null> => (running.get(key)?.sending ?? none) as Signal<Sending | null>;
// Raised whenever an upload begins or is cleared, so that views look anew.
export const sendings = signal(0);

const pause = (ms: number): Promise<void> => new Promise(resolve => setTimeout(resolve, ms));

async function piece(token: string, file: File, offset: number, headers: Record<string, string>, abort: AbortSignal): Promise<number> {
  try {
    const answer = await putRaw<{offset: number}>(`/api/uploads/${token}?offset=${offset}`, file.slice(offset, offset + pieceBytes), {headers, abort});
    return answer?.offset ?? Math.min(file.size, offset + pieceBytes);
  } catch (error) {
    const fault = asFault(error);
    const there = (fault.body as {offset?: number} | null)?.offset;
    if (fault.status === 409 && typeof there === 'number') return there;
    throw fault;
  }
}

async function run(file: File, path: string, headers: Record<string, string>, {sending, abort}: Running): Promise<void> {
  if (file.size === 0) throw new Fault('clip-empty', '', '', '', 0);
  const begun = await post<{upload: string; offset: number}>(path, {name: file.name, size: file.size, modified: String(file.lastModified)}, {headers});
  let offset = begun.offset;
  let tries = 0;
  while (offset < file.size) {
    if (abort.signal.aborted) return;
    sending.value = {...sending.value, sent: offset, state: 'sending'};
    try {
      offset = await piece(begun.upload, file, offset, headers, abort.signal);
      tries = 0;
    } catch (error) {
      const fault = asFault(error);
      if (fault.code === 'aborted') return;
      if (fault.code !== 'offline' || ++tries > 200) throw fault;
      sending.value = {...sending.value, state: 'waiting'};
      await whenOnline();
      await pause(300);
      offset = (await get<{offset: number}>(`/api/uploads/${begun.upload}`, {headers}).catch(() => ({offset}))).offset;
    }
  }
  sending.value = {...sending.value, sent: file.size, state: 'done'};
}

// `key` names the place it goes to: only one is on its way to a place.
export function sendClip(key: string, file: File, path: string, headers: Record<string, string> = {}): Promise<void> {
  running.get(key)?.abort.abort();
  const one: Running = {abort: new AbortController(),
                        sending: signal<Sending>({name: file.name, size: file.size, sent: 0, state: 'sending', fault: null})};
  running.set(key, one);
  sendings.value++;
  return run(file, path, headers, one).catch(error => {
    one.sending.value = {...one.sending.value, state: 'failed', fault: asFault(error)};
  });
}

export function stopSending(key: string): void {
  const one = running.get(key);
  if (!one) return;
  one.abort.abort();
  one.sending.value = {...one.sending.value, state: 'stopped'};
  running.delete(key);
  sendings.value++;
}
