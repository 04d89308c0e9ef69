// The one way to the server. Every failure is a Fault in the server's own sentence: WHAT is wrong, WHY, WHAT TO DO.
import {signal} from '@preact/signals';

export class Fault extends Error {
  constructor(readonly code: string, readonly what: string, readonly why: string, readonly todo: string,
              readonly status: number, readonly body: unknown = null) {
    super(what);
  }
}

// False from the first request that does not reach the server until one does again.
export const online = signal(true);
// True where the frame of the page says that the server is away: no box says it again.
export const frameSaysAway = signal(false);
// True when the server wants the one-time code before it says anything.
export const wantsCode = signal(false);

type Method = 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE';
export interface Extra {headers?: Record<string, string>; raw?: Blob; abort?: AbortSignal}

interface ErrorBody {error?: {code?: string; what?: string; why?: string; do?: string}}

const faultOf = async (answer: Response): Promise<Fault> => {
  const body = (await answer.json().catch(() => ({}))) as ErrorBody;
  const said = body.error ?? {};
  if (answer.status === 401) wantsCode.value = true;
  return new Fault(said.code ?? `status-${answer.status}`, said.what ?? `${answer.status} ${answer.statusText}`, said.why ?? '',
                   said.do ?? '', answer.status, body);
};

const send = async (method: Method, path: string, body: unknown, extra: Extra): Promise<Response> => {
  const headers: Record<string, string> = {...extra.headers};
  if (method !== 'GET') headers['X-Risetrace'] = 'page';
  if (body !== undefined) headers['Content-Type'] = 'application/json';
  if (extra.raw) headers['Content-Type'] = 'application/octet-stream';
  try {
    const answer = await fetch(path, {method, headers, body: extra.raw ?? (body === undefined ? undefined : JSON.stringify(body)),
                                      signal: extra.abort, cache: 'no-store'});
    if (!online.value) online.value = true;
    return answer;
  } catch (error) {
    if (extra.abort?.aborted) throw new Fault('aborted', '', '', '', 0);
    lost();
    throw new Fault('offline', '', String(error), '', 0);
  }
};

export async function call<T>(method: Method, path: string, body?: unknown, extra: Extra = {}): Promise<T> {
  const answer = await send(method, path, body, extra);
  if (!answer.ok) throw await faultOf(answer);
  if (answer.status === 204) return undefined as T;
  const type = answer.headers.get('Content-Type') ?? '';
  return (type.includes('json') ? await answer.json() : undefined) as T;
}

export const get = <T>(path: string, extra?: Extra): Promise<T> => call<T>('GET', path, undefined, extra);
export const post = <T>(path: string, body: unknown = {}, extra?: Extra): Promise<T> => call<T>('POST', path, body, extra);
export const patch = <T>(path: string, body: unknown): Promise<T> => call<T>('PATCH', path, body);
export const put = <T>(path: string, body: unknown): Promise<T> => call<T>('PUT', path, body);
export const del = <T>(path: string): Promise<T> => call<T>('DELETE', path);
export const putRaw = <T>(path: string, raw: Blob, extra: Extra = {}): Promise<T> => call<T>('PUT', path, undefined, {...extra, raw});

export async function getText(path: string): Promise<string> {
  const answer = await send('GET', path, undefined, {});
  if (!answer.ok) throw await faultOf(answer);
  return answer.text();
}

// A file that is made on asking, handed to the browser to be saved.
export async function download(path: string, body: unknown, fallbackName: string): Promise<string> {
  const answer = await send('POST', path, body, {});
  if (!answer.ok) throw await faultOf(answer);
  const name = /filename="([^"]+)"/.exec(answer.headers.get('Content-Disposition') ?? '')?.[1] ?? fallbackName;
  const link = document.createElement('a');
  link.href = URL.createObjectURL(await answer.blob());
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  return name;
}

export const asFault = (error: unknown): Fault =>
  error instanceof Fault ? error : new Fault('page', String(error), '', '', 0);

let looked = 0;

// The stream of events broke: gone, or only this line of it? Asked at most every other second.
export function lookFor(): void {
  if (!online.value || Date.now() - looked < 2000) return;
  looked = Date.now();
  send('GET', '/api/about', undefined, {}).catch(() => undefined);
}

let asking: ReturnType<typeof setTimeout> | undefined;

function lost(): void {
  online.value = false;
  if (asking) return;
  const ask = (): void => {
    asking = setTimeout(async () => {
      asking = undefined;
      try {
        await send('GET', '/api/about', undefined, {});
      } catch {
        if (!asking) ask();
      }
    }, 1500);
  };
  ask();
}

// Resolves when the server is there again (at once if it is).
export const whenOnline = (): Promise<void> => new Promise(resolve => {
  if (online.value) return resolve();
  const stop = online.subscribe(is => {
    if (!is) return;
    queueMicrotask(() => stop());
    resolve();
  });
});
