// Where the program found no sticker or no card: a person points them out in the clip's first frame, and it is measured so.
import {useRef, useState} from 'preact/hooks';
import {post, asFault, type Fault} from '../kit/api';
import type {Slot} from '../kit/slots';
import type {SaidFault, TestState, VisitStore} from '../kit/store';
import {Button, Choice, Dialog, FaultBox, NumberField} from '../kit/parts';
import {num, t, type Key} from '../kit/words';
import {slotPath} from './clip';

interface Spot {x: number; y: number}
type Sticker = 'heel' | 'ankle' | 'knee';
type Target = Sticker | 'scale';

const stickersOf = (slot: Slot): Sticker[] => (slot.test === 'lunge' ? ['ankle', 'knee'] : ['heel']);
const targetsOf = (slot: Slot): Target[] => [...stickersOf(slot), 'scale'];
// The faults that a person's pointing can mend.
const mendable = new Set(['sticker-not-found', 'sticker-lost', 'leg-stickers-missing', 'card-not-found', 'card-doubtful', 'no-movement', 'no-hop', 'no-lunge']);
const canBePointedOut = (test: TestState): boolean => test.state === 'failed' && mendable.has(test.error?.code ?? '');

const optionOf = (what: Target): string => (what === 'scale' ? 'px_per_cm' : `${what}_px`);
const tenth = (value: number): number => Number(value.toFixed(1));

// What of the options was set by hand, to be seen and taken out again.
export function PointedOut({slot, made, onTakeOut}: {slot: Slot; made: Record<string, unknown>; onTakeOut: (option: string) => void}) {
  const set = targetsOf(slot).filter(what => made[optionOf(what)] !== undefined);
  if (!set.length) return null;
  return <ul class="pointed">{set.map(what => {
    const value = made[optionOf(what)];
    const words = Array.isArray(value) ? t('point.at', {x: num(Number(value[0])), y: num(Number(value[1]))}) : t('point.scale-is', {n: num(Number(value), 2)});
    return <li key={what}>{t('point.by-hand', {what: `${t(`point.${what}` as Key)}, ${words}`})} <Button kind="quiet" onClick={() => onTakeOut(optionOf(what))}>{t('point.remove')}</Button></li>;
  })}</ul>;
}

// Why a test's clip was not measured, and the way to point out what was not found.
export function FailedBox({id, slot, test, store}: {id: string; slot: Slot; test: TestState; store: VisitStore}) {
  const [pointing, setPointing] = useState(false);
  return (
    <>
      <FaultBox fault={test.error as SaidFault | null | undefined} file={test.clip_name}>{canBePointedOut(test) ? <Button onClick={() => setPointing(true)}>{t(slot.test === 'lunge' ? 'point.open-lunge' : 'point.open')}</Button> : null}</FaultBox>
      {pointing ? <PointOut id={id} slot={slot} test={test} store={store} onClose={() => setPointing(false)} /> : null}
    </>
  );
}

interface Props {id: string; slot: Slot; test: TestState; store: VisitStore; onClose: () => void}

function PointOut({id, slot, test, store, onClose}: Props) {
  const first: Target = test.error?.code.startsWith('card') ? 'scale' : stickersOf(slot)[0]!;
  const [what, setWhat] = useState<Target>(first);
  const [spots, setSpots] = useState<Partial<Record<Sticker, Spot>>>({});
  const [ends, setEnds] = useState<Spot[]>([]);
  const [length, setLength] = useState<number | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const apart = ends.length === 2 ? Math.hypot(ends[1]!.x - ends[0]!.x, ends[1]!.y - ends[0]!.y) : null;
  const scale = apart && length ? apart / length : null;
  const set = (spot: Spot): void => {
    if (what === 'scale') return setEnds(old => [...(old.length === 2 ? [] : old), spot]);
    setSpots({...spots, [what]: spot});
    const next = stickersOf(slot)[stickersOf(slot).indexOf(what) + 1];
    if (next && !spots[next]) setWhat(next);
  };
  const options: Record<string, unknown> = {...(test.options ?? {})};
  for (const [sticker, spot] of Object.entries(spots)) options[`${sticker}_px`] = [tenth(spot.x), tenth(spot.y)];
  if (scale) options.px_per_cm = Number(scale.toFixed(4));
  const nothing = !Object.keys(spots).length && !scale;
  const unfinished = ends.length > 0 && !scale;
  const measure = (): void => {
    post(`${slotPath(id, slot.slot)}/measure`, {options}).then(() => {
      onClose();
      return store.fetch();
    }).catch(error => setFault(asFault(error)));
  };
  const marks = [...Object.values(spots), ...ends];
  return (
    <Dialog wide title={t('point.title')} onClose={onClose}>
      <Choice legend={t('point.what')} value={what} onValue={setWhat} options={targetsOf(slot).map(value => ({value, label: t(`point.${value}` as Key)}))} />
      <p class="hint">{t(what === 'scale' ? 'point.how-scale' : 'point.how')}</p>
      <FirstFrame src={`${slotPath(id, slot.slot)}/first-frame`} marks={marks} line={ends} onSet={set} />
      <dl class="facts">
        {stickersOf(slot).map(sticker => <><dt>{t(`point.${sticker}` as Key)}</dt><dd>{spots[sticker] ? t('point.at', {x: num(spots[sticker]!.x), y: num(spots[sticker]!.y)}) : t('point.not-set')}</dd></>)}
        <dt>{t('point.scale')}</dt><dd>{scale ? t('point.scale-is', {n: num(scale, 2)}) : apart ? t('point.apart', {px: num(apart)}) : t('point.not-set')}</dd>
      </dl>
      {ends.length === 2 ? <NumberField label={t('point.length')} unit="cm" least={0.5} most={500} decimals={2} value={length} onValue={setLength} /> : null}
      <FaultBox fault={fault} />
      <div class="actions"><Button kind="main" disabled={nothing || unfinished} onClick={measure}>{t('point.measure')}</Button><Button onClick={onClose}>{t('cancel')}</Button></div>
    </Dialog>
  );
}

// The frame in full size scaled to the window, or closer in a box that scrolls; a cross that the arrow keys move.
function FirstFrame({src, marks, line, onSet}: {src: string; marks: Spot[]; line: Spot[]; onSet: (spot: Spot) => void}) {
  const [size, setSize] = useState<{wide: number; high: number} | null>(null);
  const [cross, setCross] = useState<Spot>({x: 0, y: 0});
  const [close, setClose] = useState(false);
  const [failed, setFailed] = useState(false);
  const box = useRef<HTMLDivElement>(null);
  const loaded = (event: Event): void => {
    const image = event.currentTarget as HTMLImageElement;
    setSize({wide: image.naturalWidth, high: image.naturalHeight});
    setCross({x: Math.round(image.naturalWidth / 2), y: Math.round(image.naturalHeight / 2)});
  };
  const click = (event: MouseEvent): void => {
    if (!size) return;
    const around = (event.currentTarget as Element).getBoundingClientRect();
    const spot = {x: ((event.clientX - around.left) / around.width) * size.wide - 0.5, y: ((event.clientY - around.top) / around.height) * size.high - 0.5};
    setCross(spot);
    onSet(spot);
  };
  const keys = (event: KeyboardEvent): void => {
    const step = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]}[event.key];
    const many = event.shiftKey ? 10 : 1;
    if (step) setCross({x: cross.x + step[0]! * many, y: cross.y + step[1]! * many});
    else if (event.key === 'Enter') onSet(cross);
    else return;
    event.preventDefault();
  };
  const closer = (): void => {
    const next = !close;
    setClose(next);
    requestAnimationFrame(() => {
      const node = box.current;
      if (!node || !size || !next) return;
      node.scrollLeft = (cross.x / size.wide) * node.scrollWidth - node.clientWidth / 2;
      node.scrollTop = (cross.y / size.high) * node.scrollHeight - node.clientHeight / 2;
    });
  };
  if (failed) return <FaultBox fault={{code: 'clip-no-frames', what: '', why: '', do: ''}} />;
  const r = size ? size.wide / (close ? 120 : 50) : 0;
  return (
    <>
      <div ref={box} class={`first-frame ${close ? 'close' : ''}`} tabIndex={0} role="group" aria-label={t('point.picture')} onKeyDown={keys}>
        <div class="first-frame-picture">
          <img src={src} alt={t('point.picture')} onLoad={loaded} onError={() => setFailed(true)} />
          {size ? (
            <svg viewBox={`-0.5 -0.5 ${size.wide} ${size.high}`} preserveAspectRatio="none" onClick={click} aria-hidden="true">
              {marks.map((spot, n) => <Cross key={n} spot={spot} r={r} kind="set" />)}
              {line.length === 2 ? <line class="set" x1={line[0]!.x} y1={line[0]!.y} x2={line[1]!.x} y2={line[1]!.y} /> : null}
              <Cross spot={cross} r={r} kind="aim" />
            </svg>
          ) : null}
        </div>
      </div>
      <div class="actions"><Button pressed={close} onClick={closer}>{t('point.closer')}</Button><Button disabled={!size} onClick={() => onSet(cross)}>{t('point.set-here')}</Button>
        <span class="hint figures" role="status">{size ? t('point.at', {x: num(cross.x), y: num(cross.y)}) : t('loading')}</span></div>
    </>
  );
}

const Cross = ({spot: {x, y}, r, kind}: {spot: Spot; r: number; kind: string}) => (
  <g class={kind}>
    <circle cx={x} cy={y} r={r} />
    <line x1={x - 1.6 * r} y1={y} x2={x - 0.4 * r} y2={y} /><line x1={x + 0.4 * r} y1={y} x2={x + 1.6 * r} y2={y} />
    <line x1={x} y1={y - 1.6 * r} x2={x} y2={y - 0.4 * r} /><line x1={x} y1={y + 0.4 * r} x2={x} y2={y + 1.6 * r} />
  </g>
);
