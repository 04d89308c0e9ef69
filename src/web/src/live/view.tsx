// The test as it runs, from a camera. `visit` is the open visit's ID, `slot` the test's name.
import {useEffect, useMemo, useRef} from 'preact/hooks';
import type {Key} from '../kit/words';
import {num, said, t} from '../kit/words';
import {protocol} from '../kit/about';
import {online} from '../kit/api';
import {slotOf, testKey} from '../kit/slots';
import {useResult, useVisit} from '../kit/use';
import {toResult} from '../kit/router';
import {Button, FaultBox, Heading, Link, Notice, SideMark} from '../kit/parts';
import {BeatBox} from '../pages/beat_box';
import {BeforeTest} from '../pages/before_test';
import {ClipProgress, isBusy, slotPath} from '../pages/clip';
import type {Camera} from './camera';
import {HeightBar, RepRow} from './pictures';
import {LiveSession} from './session';

export function LiveView({visit, slot}: {visit: string; slot: string}) {
  const about = slotOf(slot);
  const session = useMemo(() => new LiveSession(slotPath(visit, slot), visit, slot), [visit, slot]);
  useEffect(() => () => session.leave(), [session]);
  const open = useVisit(visit).view.value;
  if (!about) return <FaultBox fault={{code: 'no-such-test', what: t('test.none'), why: '', do: ''}} />;
  return (
    <>
      <div class="page-head"><Link href={toResult(visit, slot)}>← {t('live.back')}</Link></div>
      <div class="page-head"><Heading level={1}><SideMark side={about.side} /> {said(testKey(about))}, {t(`side.${about.side}`).toLowerCase()}</Heading></div>
      {open ? <BeforeTest visit={open} slot={about} /> : null}
      {about.test === 'heel-raise' ? <Live session={session} visit={visit} slot={slot} />
        : <Notice tone="calm"><p>{t('live.only-raises')}</p></Notice>}
    </>
  );
}

function Live({session, visit, slot}: {session: LiveSession; visit: string; slot: string}) {
  const stage = session.stage.value;
  const running = stage === 'running' || stage === 'ending';
  return (
    <>
      <div class="live-said">
      {session.trouble.value ? <Notice tone="bad" live><p>{t(`live.trouble.${session.trouble.value}` as Key)}</p></Notice> : null}
      {running && !online.value ? <Notice tone="care" live><p>{t('live.server-gone')}</p></Notice> : null}
      {session.wasHidden.value ? <Notice tone="care" live><p>{t('live.was-hidden')}</p></Notice> : null}
      <FaultBox fault={session.fault.value ?? session.failed.value} />
      </div>
      <div class="live-grid">
        <section class="sheet" aria-labelledby="camera"><Heading id="camera">{t('live.camera')}</Heading>
          <Preview camera={session.camera.value} />
          <CameraWords camera={session.camera.value} />
          <Controls session={session} slot={slot} />
          {stage === 'closed' || stage === 'ready' ? <p class="hint">{t('live.how')}</p> : null}
        </section>
        <section class="sheet" aria-labelledby="now"><Heading id="now">{t('live.now')}</Heading><Now session={session} /></section>
      </div>
      {stage === 'handed-over' ? <Afterwards session={session} visit={visit} slot={slot} /> : null}
    </>
  );
}

function Preview({camera}: {camera: Camera | null}) {
  const node = useRef<HTMLVideoElement>(null);
  useEffect(() => {
    if (node.current) node.current.srcObject = camera?.stream ?? null;
  }, [camera]);
  return camera ? <video ref={node} class="live-picture" autoPlay playsInline muted aria-label={t('live.picture')} />
    : <div class="live-picture none"><p>{t('live.no-picture')}</p></div>;
}

// What the camera gave and what that means.
function CameraWords({camera}: {camera: Camera | null}) {
  if (!camera) return null;
  const rate = camera.rate;
  const means: Key = rate === null ? 'live.rate-unknown' : rate >= 50 ? 'live.rate-good' : rate >= 24 ? 'live.rate-enough' : 'live.rate-few';
  return <p class={rate !== null && rate < 24 ? 'field-error' : 'hint'}>
    {rate === null ? `${camera.width} × ${camera.height}. ` : t('live.gave', {width: camera.width, height: camera.height, rate: num(rate)})} {t(means)}</p>;
}

function Controls({session, slot}: {session: LiveSession; slot: string}) {
  const about = slotOf(slot)!;
  switch (session.stage.value) {
    case 'closed':
    case 'asking':
    case 'handed-over':
      return <div class="actions"><Button kind="main" big busy={session.stage.value === 'asking'} onClick={() => void session.open()}>{t('live.open')}</Button></div>;
    case 'ready':
    case 'beginning':
      return (
        <div class="actions">
          <Button kind="main" big busy={session.stage.value === 'beginning'} onClick={() => void session.begin()}>{t('live.begin')}</Button>
          <BeatBox slot={about} small />
          <Button kind="quiet" onClick={() => session.close()}>{t('live.close')}</Button>
        </div>
      );
    default:
      return (
        <div class="actions">
          <Button kind="main" big busy={session.stage.value === 'ending'} onClick={() => void session.stop()}>{t('live.stop')}</Button>
          <BeatBox slot={about} small />
          <Button kind="quiet" onClick={() => void session.drop()}>{t('live.drop')}</Button>
        </div>
      );
  }
}

const warnings = new Set(['card-not-seen', 'card-doubtful', 'sticker-not-seen', 'sticker-hidden', 'camera-lost', 'source-stalled', 'behind', 'frames-left-out', 'live-too-long']);
const known = new Set([...warnings, 'card-seen', 'rise-once', 'sticker-known', 'sticker-back', 'camera-back', 'source-back', 'caught-up']);

function Now({session}: {session: LiveSession}) {
  const reps = session.reps.value;
  const last = reps.at(-1);
  const end = session.end.value;
  const note = session.notes.value.at(-1);
  const asked = protocol('heel_raise', 'beat_bpm');
  return (
    <>
      <div class="live-now">
        <HeightBar height={session.height.value} full={session.greatest.value} />
        <div>
          <p class="live-count" data-count={last?.count ?? 0}><b>{num(last?.count ?? 0)}</b> {t('live.reps', {n: last?.count ?? 0})}</p>
          <p>{t('live.height')} <b>{num(session.height.value, 1)}</b> cm</p>
          <p>{t('live.pace')} <b>{last?.period_s ? num(60 / last.period_s) : '–'}</b> /min {asked ? t('live.asked', {n: num(asked / 2)}) : ''}</p>
          {last ? <p>{t('live.last', {n: last.n})} <b>{num(last.height_cm, 1)}</b> cm{last.of_reference === null ? '' : ` · ${t('live.of-reference', {share: num(100 * last.of_reference)})}`}</p> : null}
          {last && last.on_beat === false && !end ? <p class="live-care">{t('live.off-beat')}</p> : null}
        </div>
      </div>
      <div aria-live="assertive">
        {end && (end.why === 'low-height' || end.why === 'pause') ? (
          <p class="live-end" data-said-s={session.endSaid_s.value ?? ''}><strong>{t('live.over')}</strong> {t(`live.why.${end.why}` as Key)} {t('live.counted', {n: end.count})}</p>
        ) : session.low.value ? <p class="live-low">{t('live.low')}</p> : null}
      </div>
      <RepRow reps={reps} />
      <div role="status">
        {note && !end ? <Notice tone={warnings.has(note.code) ? 'care' : 'calm'}><p>{known.has(note.code) ? t(`live.note.${note.code}` as Key) : note.text}</p></Notice> : null}
      </div>
    </>
  );
}

// What was said while it ran beside what the recording gives.
function Afterwards({session, visit, slot}: {session: LiveSession; visit: string; slot: string}) {
  const store = useVisit(visit);
  const test = store.view.value?.tests[slot];
  const {value: result} = useResult(visit, slot, test?.state === 'measured', test?.measured_at ?? '');
  const set = result?.heel_raise;
  const told = session.end.value;
  return (
    <section class="sheet" aria-labelledby="after">
      <Heading id="after">{t('live.after')}</Heading>
      {test && isBusy(test) ? <ClipProgress visit={visit} slot={slot} test={test} /> : null}
      {test?.state === 'failed' ? <FaultBox fault={test.error} file={test.clip_name} /> : null}
      {set ? (
        <>
          <div class="table-box"><table class="live-table">
            <thead><tr><th scope="col"><span class="unseen">{t('live.what')}</span></th><th scope="col" class="figure">{t('live.told')}</th><th scope="col" class="figure">{t('live.measured')}</th></tr></thead>
            <tbody>
              <tr><th scope="row">{t('live.row-count')}</th><td class="figure" data-told={told?.count ?? ''}>{num(told?.count)}</td><td class="figure" data-measured={set.count}>{num(set.count)}</td></tr>
              <tr><th scope="row">{t('live.row-end')}</th><td class="figure">{told ? `${num(told.t_s, 1)} s` : '–'}</td><td class="figure">{num(set.set_end.t_s, 1)} s</td></tr>
            </tbody>
          </table></div>
          {told ? told.count === set.count ? <Notice tone="good" live><p>{t('live.agrees')}</p></Notice>
            : <Notice tone="care" live><p>{t('live.disagrees')}</p></Notice> : <Notice tone="care" live><p>{t('live.nothing-told')}</p></Notice>}
        </>
      ) : null}
      <p><Link kind={set ? 'main' : 'plain'} href={toResult(visit, slot)}>{t('live.to-result')}</Link></p>
    </section>
  );
}
