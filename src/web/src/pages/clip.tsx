// A test's clip: chosen, dropped or sent from a phone; on its way; being measured; stopped; what went wrong.
import {useEffect, useState} from 'preact/hooks';
import {del, post, asFault, type Fault} from '../kit/api';
import {sendClip, sendingOf, sendings, stopSending} from '../kit/upload';
import {visitStore, type TestState, type VisitStore} from '../kit/store';
import {about} from '../kit/about';
import {toTest} from '../kit/router';
import {Button, Dialog, FaultBox, Link, Notice, Progress} from '../kit/parts';
import {PickFile} from './pick_file';
import {bytes, t} from '../kit/words';
import {hear} from '../kit/store';

export const slotPath = (visit: string, slot: string): string => `/api/visits/${visit}/tests/${slot}`;
export const sendTo = (visit: string, slot: string, file: File): Promise<void> =>
  sendClip(`${visit}/${slot}`, file, `${slotPath(visit, slot)}/upload`);

export const stageWord = (stage: string | null | undefined): string =>
  stage?.startsWith('drawing') ? t('stage.drawing') : stage?.includes('frames') ? t('stage.frames') : t('stage.measuring');

export const isBusy = (test: TestState | undefined): boolean => test?.state === 'uploading' || test?.state === 'waiting' || test?.state === 'measuring';

const silence_ms = 10_000;

// Whether a clip is on its way or at work; `broken`: it was, and nothing has come of it for a while. Who sent it may be gone
// without a word, so the server is asked whether it still grows.
export function useArrival(visit: string, slot: string, test: TestState | undefined): {busy: boolean; broken: boolean; mine: boolean} {
  sendings.value;
  const sending = sendingOf(`${visit}/${slot}`).value;
  const mine = sending?.state === 'sending' || sending?.state === 'waiting';
  const coming = test?.state === 'uploading' && !mine;
  const [quiet, setQuiet] = useState(false);
  useEffect(() => {
    setQuiet(false);
    if (!coming) return;
    const asking = setInterval(() => void visitStore(visit).fetch(), silence_ms / 3);
    const over = setTimeout(() => setQuiet(true), silence_ms);
    return () => {
      clearInterval(asking);
      clearTimeout(over);
    };
  }, [visit, slot, coming, test?.uploaded]);
  useEffect(() => {  // another clip came by another way: what failed here is of before
    if (sending?.state === 'failed' && (test?.state === 'waiting' || test?.state === 'measuring')) stopSending(`${visit}/${slot}`);
  }, [test?.state]);
  const broken = coming && (quiet || sending?.state === 'failed');
  return {busy: mine || (isBusy(test) && !broken), broken, mine};
}

// What came of a clip goes, and the place for it is empty again; a piece that is just being written is waited for.
async function dropWhatCame(visit: string, slot: string): Promise<void> {
  for (let turn = 0; ; ++turn) {
    try {
      await del(slotPath(visit, slot));
      return;
    } catch (error) {
      if (asFault(error).status !== 409 || turn === 8) throw error;
      await new Promise(resolve => setTimeout(resolve, 400));
    }
  }
}

// How far it is, wherever that is: in this page's hands or in the server's.
export function ClipProgress({visit, slot, test}: {visit: string; slot: string; test: TestState}) {
  const {busy, broken, mine} = useArrival(visit, slot, test);
  const sending = sendingOf(`${visit}/${slot}`).value;
  const [fault, setFault] = useState<Fault | null>(null);
  const cancel = (): void => {
    const nothingElse = !test.beneath && (test.state === 'uploading' || test.state === 'empty');
    stopSending(`${visit}/${slot}`);
    (nothingElse ? dropWhatCame(visit, slot) : post(`${slotPath(visit, slot)}/cancel`)).then(() => visitStore(visit).fetch()).catch(error => setFault(asFault(error)));
  };
  const there = test.uploaded ?? 0;
  if (broken) {
    return (
      <div class="notice care" role="alert">
        <p><strong>{t('clip.broke-off', {done: bytes(there), all: bytes(test.size ?? 0)})}</strong></p>
        <p>{test.upload_name ? t('clip.broke-off-do', {name: test.upload_name}) : t('clip.broke-off-do-any')}</p>
        {sending?.state === 'failed' ? <FaultBox fault={sending.fault} file={sending.name} /> : null}
        <FaultBox fault={fault} />
        <Button onClick={cancel}>{t('clip.drop-came')}</Button>
      </div>
    );
  }
  if (!busy) return sending?.state === 'failed' ? <FaultBox fault={sending.fault} file={sending.name} /> : null;
  return (
    <div class="column-tight" role="status" aria-live="off">
      {mine && sending ? <Progress label={sending.state === 'waiting' ? t('clip.waiting-line') : t('clip.sending', {name: sending.name})} share={sending.size ? sending.sent / sending.size : 0}
                        detail={t('clip.of', {done: bytes(sending.sent), all: bytes(sending.size)})} />
        : test.state === 'uploading' ? <Progress label={t('clip.coming')} share={test.size ? there / test.size : null} detail={test.size ? t('clip.of', {done: bytes(there), all: bytes(test.size)}) : undefined} />
        : test.state === 'waiting' ? <Progress label={t('clip.queued')} share={0} detail="" />
        : <Progress label={stageWord(test.stage)} share={test.share ?? null} />}
      <FaultBox fault={fault} />
      <Button onClick={cancel}>{t('clip.cancel')}</Button>
    </div>
  );
}

// Files dragged onto anything; only video files are taken.
export function useDrop(take: (file: File) => void): {over: boolean; handlers: Record<string, (event: DragEvent) => void>} {
  const [over, setOver] = useState(false);
  return {over, handlers: {
    onDragOver: event => {
      event.preventDefault();
      setOver(true);
    },
    onDragLeave: () => setOver(false),
    onDrop: event => {
      event.preventDefault();
      setOver(false);
      const file = event.dataTransfer?.files[0];
      if (file) take(file);
    }}};
}

const videos = 'video/*,.mp4,.mov,.mkv,.webm,.avi,.m4v';
export const PickButton = ({kind = 'main', ...rest}: {label: string; take: (file: File) => void; kind?: 'main' | 'plain'; capture?: boolean; big?: boolean}) =>
  <PickFile accept={videos} kind={kind} {...rest} />;

export function ClipBox({visit, slot, test, store}: {visit: string; slot: string; test: TestState; store: VisitStore}) {
  const [asking, setAsking] = useState<File | null>(null);
  const [phone, setPhone] = useState(false);
  const [fault, setFault] = useState<Fault | null>(null);
  const send = (file: File): void => {
    setFault(null);
    setAsking(null);
    void sendTo(visit, slot, file).then(() => store.fetch());
  };
  const {busy, broken} = useArrival(visit, slot, test);
  const take = (file: File): void => (broken || test.state === 'empty' || test.state === 'cancelled' || test.state === 'failed' ? send(file) : setAsking(file));
  const drop = useDrop(take);
  const act = (what: Promise<unknown>): void => {
    what.then(() => store.fetch()).catch(error => setFault(asFault(error)));
  };
  return (
    <div class={`drop ${drop.over ? 'over' : ''}`} {...drop.handlers}>
      {busy || broken ? null : test.clip_name ? <p>{t('clip.have', {name: test.clip_name})}</p> : test.state === 'measured' ? <p>{t('clip.not-kept')}</p> : <p>{t('clip.drop')}</p>}
      <ClipProgress visit={visit} slot={slot} test={test} />
      {busy ? null : (
        <div class="actions">
          <PickButton label={test.clip_name ? t('clip.other') : t('clip.choose')} kind={test.state === 'measured' ? 'plain' : 'main'} take={take} />
          {about.value?.phone ? <Button onClick={() => setPhone(true)}>{t('clip.phone')}</Button> : null}
          {!slot.startsWith('heel-raise') ? null : <Link kind="plain" href={toTest(visit, slot, 'live')}>{t('clip.live')}</Link>}
          {test.clip_name && test.state !== 'empty' ? <Button onClick={() => act(post(`${slotPath(visit, slot)}/measure`, {options: test.options ?? {}}))}>{t('clip.again')}</Button> : null}
        </div>
      )}
      {about.value && !about.value.phone && !busy ? <p class="hint">{t('clip.no-phone')} <code>risetrace serve --lan</code></p> : null}
      <FaultBox fault={fault} />
      {asking ? (
        <Dialog title={t('clip.replace')} onClose={() => setAsking(null)}>
          <p>{t('clip.replace-text')}</p>
          <div class="actions"><Button kind="main" onClick={() => send(asking)}>{t('clip.replace-do')}</Button><Button onClick={() => setAsking(null)}>{t('cancel')}</Button></div>
        </Dialog>
      ) : null}
      {phone ? <PhoneDialog visit={visit} slot={slot} onClose={() => setPhone(false)} /> : null}
    </div>
  );
}

interface Ticket {url: string; expires_at: string; qr: {size: number; rows: string[]}}

const qrPath = (rows: string[]): string => rows.flatMap((row, y) => [...row].flatMap((bit, x) => (bit === '1' ? [`M${x} ${y}h1v1h-1z`] : []))).join('');

function PhoneDialog({visit, slot, onClose}: {visit: string; slot: string; onClose: () => void}) {
  const [ticket, setTicket] = useState<Ticket | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const [left, setLeft] = useState(0);
  const ask = (): void => {
    setFault(null);
    post<Ticket>(`${slotPath(visit, slot)}/phone`).then(setTicket).catch(error => setFault(asFault(error)));
  };
  useEffect(ask, []);
  useEffect(() => hear(happening => {
    if (happening.visit === visit && happening.slot === slot && (happening.what === 'upload' || happening.what === 'job')) onClose();
  }), []);
  useEffect(() => {
    if (!ticket) return;
    const look = (): void => setLeft(Math.max(0, Math.round((Date.parse(ticket.expires_at) - Date.now()) / 1000)));
    look();
    const timer = setInterval(look, 1000);
    return () => clearInterval(timer);
  }, [ticket]);
  return (
    <Dialog title={t('phone.title')} onClose={onClose}>
      <FaultBox fault={fault} retry={ask} />
      {ticket ? (
        <>
          <p>{t('phone.how')}</p>
          <svg class="qr" viewBox={`-4 -4 ${ticket.qr.size + 8} ${ticket.qr.size + 8}`} role="img" aria-label={t('phone.qr')} shape-rendering="crispEdges"><path d={qrPath(ticket.qr.rows)} /></svg>
          <p class="hint break"><a href={ticket.url} class="phone-url">{ticket.url}</a></p>
          {left > 0 ? <p>{t('phone.left', {minutes: Math.floor(left / 60), seconds: String(left % 60).padStart(2, '0')})}</p>
            : <Notice tone="care"><p>{t('phone.over')}</p><Button onClick={ask}>{t('phone.new')}</Button></Notice>}
          {about.value?.fingerprint ? <p class="hint break">{t('phone.fingerprint')} {about.value.fingerprint}</p> : null}
        </>
      ) : null}
      <div class="actions"><Button onClick={onClose}>{t('close')}</Button></div>
    </Dialog>
  );
}
