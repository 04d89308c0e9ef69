// A result gone through frame by frame and corrected. `visit` is the open visit's ID, `slot` the test's name.
import {useEffect, useMemo, useRef, useState} from 'preact/hooks';
import {useFile, useResult, useTrace, useVisit, fileOf, type Table} from '../kit/use';
import {Button, FaultBox, Fold, Heading, Link, Loading, Notice, Progress, SideMark} from '../kit/parts';
import {num, said, t} from '../kit/words';
import {slotOf, testKey} from '../kit/slots';
import {toResult} from '../kit/router';
import type {Frames} from '../types/frames';
import type {Result} from '../types/result';
import type {TestState} from '../kit/store';
import {Clock, eventsOf, moveTo, takeOut, type Counted, type Draft, type Event} from './model';
import {eventName, inWords} from './words';
import {Picture, type Spot} from './picture';
import {drawTrace, type TraceHandle, type TraceSpec} from './trace';
import {LengthDialog, Rules, WhyDialog} from './dialogs';
import {useDesk, type Desk} from './desk';

export function ReviewView({visit: id, slot: name}: {visit: string; slot: string}) {
  const store = useVisit(id);
  const visit = store.view.value;
  const slot = slotOf(name);
  const test = visit?.tests[name];
  if (!slot) return <FaultBox fault={{code: 'no-such-test', what: t('test.none'), why: '', do: ''}} />;
  if (!visit || !test) return store.fault.value ? <FaultBox fault={store.fault.value} retry={() => void store.fetch()} /> : <Loading />;
  return (
    <>
      <div class="page-head"><Link href={toResult(id, name)}>← {t('review.back')}</Link></div>
      <div class="page-head"><Heading level={1}><SideMark side={slot.side} /> {t('review.title', {test: said(testKey(slot))})}, {t(`side.${slot.side}`).toLowerCase()}</Heading></div>
      {test.state === 'measured' ? <Measured id={id} name={name} test={test} tester={visit.session.tester as string | null | undefined} /> : <NotMeasured test={test} />}
    </>
  );
}

function NotMeasured({test}: {test: TestState}) {
  if (test.state === 'failed') return <FaultBox fault={test.error} />;
  if (test.state === 'measuring' || test.state === 'waiting') return <Progress label={t('review.measuring')} share={test.state === 'measuring' ? test.share ?? null : null} />;
  return <Notice>{t('review.nothing')}</Notice>;
}

function Measured({id, name, test, tester}: {id: string; name: string; test: TestState; tester: string | null | undefined}) {
  const stamp = test.measured_at ?? '';
  const result = useResult(id, name, true, stamp);
  const trace = useTrace(id, name, stamp, true);
  const about = useFile<Frames>(fileOf(id, name, 'frames.json'), stamp);
  const desk = useDesk(id, name, stamp, result.value?.clip.sha256 ?? null);
  const fault = result.fault ?? trace.fault ?? about.fault;
  if (fault) return <FaultBox fault={fault} />;
  if (!result.value || !trace.value || !about.value) return <Loading />;
  if (result.value.lunge) return <Notice>{t('review.not-lunge')}</Notice>;
  if (!desk.ready) return desk.fault ? <FaultBox fault={desk.fault} retry={desk.load} /> : <Loading />;
  return <Review id={id} name={name} stamp={stamp} result={result.value} table={trace.value} about={about.value} desk={desk} tester={tester ?? ''} />;
}

type Pointing = {what: 'heel' | 'forefoot' | 'scale'; spots: Spot[]; cross: Spot};
interface PuttingIn {start?: number; peak?: number; end?: number; touchdown?: number; takeoff?: number}

interface ReviewProps {id: string; name: string; stamp: string; result: Result; table: Table; about: Frames; desk: Desk; tester: string}

function Review({id, name, stamp, result, table, about, desk, tester}: ReviewProps) {
  const hops = result.hop !== null;
  const counted: Counted = desk.counted ?? ({heel_raise: result.heel_raise, hop: result.hop, automatic: result.automatic ?? result.heel_raise ?? result.hop, needs_measuring: []} as unknown as Counted);
  const clock = useMemo(() => new Clock((table.columns.frame ?? []) as number[], (table.columns.time_s ?? []) as number[], result.clip.frame_rate_hz), [table]);
  const events = useMemo(() => eventsOf(counted, clock), [counted, clock]);
  const pictures = useRef<HTMLDivElement>(null);
  useEffect(() => pictures.current?.focus({preventScroll: true}), []);  // so that the keys work at once
  const [frame, setFrame] = useState(0);
  const [chosen, setChosen] = useState<string | null>(null);
  const [moving, setMoving] = useState<number | null>(null);  // where the chosen event is to go, a frame
  const [close, setClose] = useState(false);
  const [draft, setDraft] = useState<Draft | null>(null);
  const [by, setBy] = useState(tester);
  const [pointing, setPointing] = useState<Pointing | null>(null);
  const [putting, setPutting] = useState<PuttingIn | null>(null);
  const last = about.frames - 1;
  const event = events.find(one => one.key === chosen) ?? null;
  const go = (to_frame: number): void => setFrame(Math.min(Math.max(Math.round(to_frame), 0), last));
  const choose = (one: Event): void => {
    setChosen(one.key);
    setMoving(null);
    go(one.frame);
  };
  const move = (one: Event, where: number): void => setDraft(moveTo(counted, one, Math.min(Math.max(where, 0), last), clock));
  const next = (way: 1 | -1): void => {
    const at = events.findIndex(one => one.key === chosen && one.frame === frame);
    const found = at >= 0 ? events[at + way] : way > 0 ? events.find(one => one.frame > frame) : [...events].reverse().find(one => one.frame < frame);
    if (found) choose(found);
  };
  const stopPointing = (): void => setPointing(null);
  const point = (spot: Spot): void => {
    if (!pointing) return;
    const spots = [...pointing.spots, spot];
    if (pointing.what === 'scale') return setPointing({...pointing, spots: spots.slice(-2)});
    setPointing(null);
    setDraft({what: pointing.what, before: null, after: {x_px: Number(spot.x.toFixed(1)), y_px: Number(spot.y.toFixed(1))}});
  };
  const beginPointing = (what: Pointing['what']): void => {
    go(0);
    const wide = about.width / about.scale;
    setPointing({what, spots: [], cross: {x: Math.round(wide / 2), y: Math.round(about.height / about.scale / 2)}});
  };
  const keys = (pressed: KeyboardEvent): void => {
    const target = pressed.target as HTMLElement;
    if (target.closest('input, select, dialog')) return;
    const way = pressed.key === 'ArrowRight' ? 1 : pressed.key === 'ArrowLeft' ? -1 : 0;
    const many = pressed.shiftKey ? 10 : 1;
    if (pressed.ctrlKey || pressed.metaKey) return;
    if (pointing) return pointKeys(pressed, many);
    if (way && pressed.altKey && event) {
      const where = Math.min(Math.max((moving ?? event.frame) + way * many, 0), last);
      setMoving(where);
      go(where);
    } else if (way) go(frame + way * many);
    else if (pressed.key === 'Home') go(0);
    else if (pressed.key === 'End') go(last);
    else if (pressed.key === 'n') next(1);
    else if (pressed.key === 'p') next(-1);
    else if (pressed.key === 'z') setClose(!close && about.foot !== null);
    else if (pressed.key === 'Escape' && moving !== null) {
      setMoving(null);
      if (event) go(event.frame);
    } else if (pressed.key === 'Enter' && event && moving !== null && !target.closest('button, a')) move(event, moving);
    else return;
    pressed.preventDefault();
  };
  const pointKeys = (pressed: KeyboardEvent, many: number): void => {
    const by_key: Record<string, [number, number]> = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]};
    const step = by_key[pressed.key];
    if (step) setPointing({...pointing!, cross: {x: pointing!.cross.x + step[0] * many, y: pointing!.cross.y + step[1] * many}});
    else if (pressed.key === 'Enter' && !(pressed.target as HTMLElement).closest('button, a')) point(pointing!.cross);
    else if (pressed.key === 'Escape') stopPointing();
    else return;
    pressed.preventDefault();
  };
  const now = moving !== null ? moving : frame;
  const src = (file: string): string => `${fileOf(id, name, file)}?of=${encodeURIComponent(stamp)}`;
  const spots = pointing?.spots ?? [];
  return (
    <div class="review" onKeyDown={keys as never}>
      <div class="review-grid">
        <section class="sheet" aria-label={t('review.clip')}>
          <div ref={pictures} class="review-pictures" tabIndex={0} role="group" aria-label={t('review.clip-keys')}>
            <Picture src={src(close ? 'foot.mp4' : 'frames.mp4')} about={about} frame={frame} close={close} spots={spots} cross={pointing?.cross ?? null}
                     onPoint={pointing ? point : null} label={t('review.frame', {n: frame, of: last, t: num(clock.timeOf(frame), 3)})} />
          </div>
          <div class="review-bar">
            <Button label={t('review.event-before')} onClick={() => next(-1)}>|◀</Button>
            <Button label={t('review.frame-before')} onClick={() => go(frame - 1)}>◀</Button>
            <Button label={t('review.frame-after')} onClick={() => go(frame + 1)}>▶</Button>
            <Button label={t('review.event-after')} onClick={() => next(1)}>▶|</Button>
            <span class="figures" role="status">{t('review.frame', {n: frame, of: last, t: num(clock.timeOf(frame), 3)})}</span>
            {about.foot ? <Button pressed={close} onClick={() => setClose(!close)}>{t('review.close-up')}</Button> : null}
          </div>
          {pointing ? <PointingBar pointing={pointing} onSet={() => point(pointing.cross)} onStop={stopPointing} /> : null}
          <TraceView hops={hops} table={table} events={events} chosen={chosen} now={clock.timeOf(now)}
                     onSeek={time => go(clock.frameAt(time))} onChoose={choose} onDrag={time => go(clock.frameAt(time))}
                     onDrop={(one, time) => move(one, clock.frameAt(time))} />
          <Fold title={t('review.keys-title')}><p class="hint">{t('review.keys')}</p></Fold>
        </section>
        <div class="column">
          <CountBox counted={counted} result={result} desk={desk} />
          <section class="sheet" aria-labelledby="this-event"><Heading id="this-event">{event ? eventName(event) : t('review.no-event')}</Heading>
            {event ? <EventBox event={event} frame={now} hops={hops} onMove={() => move(event, now)}
                               onOut={none => setDraft(takeOut(counted, event.of!, none))} /> : <p class="hint">{t('review.no-event-hint')}</p>}
            <PutIn hops={hops} putting={putting} frame={frame} clock={clock} onChange={setPutting} onDraft={one => { setPutting(null); setDraft(one); }} />
            {hops ? null : <Button onClick={() => setDraft({what: 'set-end', before: {t_s: counted.heel_raise?.set_end.t_s}, after: {t_s: Number(clock.timeOf(frame).toFixed(6))}})}>{t('review.end-here', {n: frame})}</Button>}
          </section>
          <section class="sheet" aria-labelledby="done"><Heading id="done">{t('review.corrections')}</Heading><Done desk={desk} clock={clock} /></section>
          <section class="sheet">
            <Fold title={t('review.rules')}><Rules hops={hops} now={rulesOf(result, desk)} ask={desk.ask} onDraft={setDraft} /></Fold>
            <Fold title={t('review.places')}>
              <p class="hint">{t('review.places-hint')}</p>
              <div class="actions"><Button onClick={() => beginPointing('heel')}>{t('review.point-heel')}</Button>
                {hops ? <Button onClick={() => beginPointing('forefoot')}>{t('review.point-forefoot')}</Button> : null}
                <Button onClick={() => beginPointing('scale')}>{t('review.point-scale')}</Button></div>
            </Fold>
            <Fold title={t('review.all-events')}><EventList events={events} chosen={chosen} onChoose={choose} /></Fold>
          </section>
        </div>
      </div>
      {pointing?.what === 'scale' && spots.length === 2 ? (
        <LengthDialog px={Math.hypot(spots[1]!.x - spots[0]!.x, spots[1]!.y - spots[0]!.y)} onClose={stopPointing} onDone={(length, u) => {
          const at = spots.map(spot => [Number(spot.x.toFixed(1)), Number(spot.y.toFixed(1))]);
          stopPointing();
          setDraft({what: 'scale', before: {px_per_cm: result.scale.px_per_cm}, after: {from_px: at[0], to_px: at[1], length_cm: length, ...(u === null ? {} : {length_u_cm: u})}});
        }} />) : null}
      {draft ? <WhyDialog text={inWords(draft, clock)} by={by} onBy={setBy} onClose={() => { setDraft(null); setMoving(null); }} onDone={why => {
        desk.add(draft, by.trim(), why);
        setDraft(null);
        setMoving(null);
      }} /> : null}
    </div>
  );
}

// The rules as the corrections leave them.
function rulesOf(result: Result, desk: Desk): Record<string, number | null> {
  const asked = result.asked as unknown as Record<string, unknown>;
  const fields: Record<string, [string, string]> = {'end-fraction': ['end_fraction', 'end_fraction'], 'end-after': ['end_after', 'end_after'], 'reference-reps': ['reference_reps', 'reference_reps'], beat: ['bpm', 'beat_bpm']};
  const now: Record<string, number | null> = {};
  for (const [, [, setting]] of Object.entries(fields)) now[setting] = typeof asked[setting] === 'number' ? (asked[setting] as number) : null;
  for (const one of desk.list) if (fields[one.what]) now[fields[one.what]![1]] = Number(one.after?.[fields[one.what]![0]]);
  return now;
}

const countOf = (counted: Counted): number => (counted.heel_raise ?? counted.hop)!.count;

function CountBox({counted, result, desk}: {counted: Counted; result: Result; desk: Desk}) {
  const unit = result.hop ? t('review.hops') : t('review.reps');
  const found = counted.automatic;
  return (
    <section class="sheet review-count" aria-labelledby="count">
      <Heading id="count">{t('review.count')}</Heading>
      <p class="headline" role="status"><b>{num(countOf(counted))}</b><span>{unit} {desk.added ? t('review.preview') : ''}</span></p>
      <dl class="numbers">
        <div><dt>{t('review.found-alone')}</dt><dd><span class="value">{num(found?.count)}</span></dd></div>
        {counted.heel_raise ? <div><dt>{t('result.reference')}</dt><dd><span class="value">{num(counted.heel_raise.reference_height_cm, 2)} cm</span><small>{t('review.alone', {value: `${num(found?.reference_height_cm, 2)} cm`})}</small></dd></div>
          : <div><dt>{said('quantity.contact_ms')}</dt><dd><span class="value">{num(counted.hop?.contact_ms, 0)} ms</span><small>{t('review.alone', {value: `${num(found?.contact_ms, 0)} ms`})}</small></dd></div>}
      </dl>
      {counted.needs_measuring.length ? <Notice tone="care">{t('review.needs', {what: counted.needs_measuring.map(one => t(`review.needs-${one}` as 'review.needs-heel')).join(', ')})}</Notice> : null}
      <FaultBox fault={desk.fault} />
      {desk.others ? <Notice>{t('review.others')}</Notice> : null}
      <div class="actions">
        <Button kind="main" disabled={!desk.added || desk.fault !== null} busy={desk.busy} onClick={() => void desk.apply()}>{t('review.apply')}</Button>
        <Button disabled={!desk.added || !desk.list.length} onClick={desk.undo}>{t('review.undo')}</Button>
      </div>
    </section>
  );
}

function EventBox({event, frame, hops, onMove, onOut}: {event: Event; frame: number; hops: boolean; onMove: () => void; onOut: (none: boolean) => void}) {
  return (
    <>
      <p class="figures">{t('review.event-at', {frame: event.frame, t: num(event.t, 3)})}</p>
      <div class="actions">
        <Button disabled={frame === event.frame} onClick={onMove}>{t('review.move-here', {n: frame})}</Button>
        {event.of === null ? null : <Button kind="danger" onClick={() => onOut(false)}>{t(hops ? 'review.take-out-hop' : 'review.take-out-rep', {n: event.n})}</Button>}
        {hops ? <Button kind="danger" onClick={() => onOut(true)}>{t('review.no-landing')}</Button> : null}
      </div>
    </>
  );
}

interface PutInProps {hops: boolean; putting: PuttingIn | null; frame: number; clock: Clock; onChange: (putting: PuttingIn | null) => void; onDraft: (draft: Draft) => void}
function PutIn({hops, putting, frame, clock, onChange, onDraft}: PutInProps) {
  if (!putting) return <Button onClick={() => onChange({})}>{t(hops ? 'review.put-in-hop' : 'review.put-in-rep')}</Button>;
  const steps = hops ? (['touchdown', 'takeoff'] as const) : (['start', 'peak', 'end'] as const);
  const whole = hops ? putting.touchdown !== undefined : putting.start !== undefined && putting.peak !== undefined && putting.end !== undefined;
  const done = (): void => {
    const seconds = (at: number): number => Number(clock.timeOf(at).toFixed(6));
    onDraft({what: 'put-in', before: null, after: hops ? {touchdown_frame: putting.touchdown, takeoff_frame: putting.takeoff ?? null}
      : {start_s: seconds(putting.start!), peak_s: seconds(putting.peak!), end_s: seconds(putting.end!)}});
  };
  return (
    <fieldset class="review-put-in"><legend>{t(hops ? 'review.put-in-hop' : 'review.put-in-rep')}</legend>
      <div class="actions">{steps.map(step => (
        <Button key={step} pressed={putting[step] !== undefined} onClick={() => onChange({...putting, [step]: frame})}>
          {t(`review.${step}`)}: {putting[step] === undefined ? t('review.frame-here', {n: frame}) : num(putting[step])}</Button>))}</div>
      <div class="actions"><Button kind="main" disabled={!whole} onClick={done}>{t('review.put-in')}</Button><Button onClick={() => onChange(null)}>{t('cancel')}</Button></div>
    </fieldset>
  );
}

const Done = ({desk, clock}: {desk: Desk; clock: Clock}) => (desk.list.length ? (
  <ol class="review-done">{desk.list.map((one, n) => (
    <li key={`${one.at} ${n}`}>
      <p>{inWords(one, clock)}</p><p class="hint">{one.why} · {one.by} · {one.at.slice(0, 16).replace('T', ' ')} UTC{n >= desk.kept || desk.added ? '' : ` · ${t('review.in-result')}`}</p>
      <Button kind="quiet" label={t('review.withdraw-one', {n: n + 1})} onClick={() => desk.remove(n)}>{t('review.withdraw')}</Button>
    </li>))}</ol>) : <p class="hint">{t('review.none-yet')}</p>);

const EventList = ({events, chosen, onChoose}: {events: Event[]; chosen: string | null; onChoose: (event: Event) => void}) => (
  <ul class="review-events">{events.map(one => (
    <li key={one.key}><Button kind="quiet" pressed={one.key === chosen} onClick={() => onChoose(one)}>{eventName(one)} · {num(one.t, 2)} s</Button></li>))}</ul>);

const PointingBar = ({pointing, onSet, onStop}: {pointing: Pointing; onSet: () => void; onStop: () => void}) => (
  <Notice tone="care" live>
    <p><strong>{t(`review.pointing-${pointing.what}`, {n: Math.min(pointing.spots.length + 1, 2)})}</strong></p>
    <p class="figures">x {num(pointing.cross.x)} · y {num(pointing.cross.y)}</p>
    <div class="actions"><Button onClick={onSet}>{t('review.set-cross')}</Button><Button onClick={onStop}>{t('cancel')}</Button></div>
  </Notice>);

interface TraceProps {hops: boolean; table: Table; events: Event[]; chosen: string | null; now: number; onSeek: (t: number) => void; onChoose: (event: Event) => void;
                      onDrag: (t: number) => void; onDrop: (event: Event, t: number) => void}
function TraceView({hops, table, events, chosen, now, ...on}: TraceProps) {
  const node = useRef<HTMLDivElement>(null);
  const handle = useRef<TraceHandle | null>(null);
  const handlers = useRef(on);
  handlers.current = on;
  const columns = table.columns;
  const has = (name: string): boolean => (columns[name] ?? []).some(value => value !== null);
  const column = !hops ? 'height_cm' : has('clearance_cm') ? 'clearance_cm' : has('clearance_px') ? 'clearance_px' : 'heel_up_cm';
  const spec: TraceSpec = {x: (columns.time_s ?? []) as number[], y: columns[column] ?? [], xLabel: t('plot.seconds'), yLabel: column.endsWith('px') ? 'px' : 'cm', events, chosen, now};
  useEffect(() => {
    if (!node.current) return;
    handle.current = drawTrace(node.current, spec, {
      seek: at => handlers.current.onSeek(at), choose: one => handlers.current.onChoose(one), drag: (_one, at) => handlers.current.onDrag(at),
      drop: (one, at) => handlers.current.onDrop(one, at)});
    return () => handle.current?.destroy();
  }, [table]);
  useEffect(() => handle.current?.set(spec), [events, chosen, now]);
  const zoom = (factor: number): void => {
    const [from, to_s] = handle.current!.span();
    const wide = (to_s - from) * factor;
    handle.current!.show(now - wide / 2, now + wide / 2);
  };
  return (
    <div class="review-trace">
      <div ref={node} class="plot-box" role="img" aria-label={t('review.trace-summary')} />
      <div class="actions"><Button onClick={() => zoom(0.5)}>{t('review.zoom-in')}</Button><Button onClick={() => zoom(2)}>{t('review.zoom-out')}</Button></div>
    </div>
  );
}
