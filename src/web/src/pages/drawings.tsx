// Our own line drawings of how a test is set up: what the camera sees, and where it stands.
import type {ComponentChildren} from 'preact';
import {t} from '../kit/words';
import type {Slot} from '../kit/slots';

interface Spot {x: number; y: number}
const floor = 178;

interface Limb {points: Spot[]; wide: number}
const lineOf = (points: Spot[]): string => points.map(point => `${point.x},${point.y}`).join(' ');

// Limbs as one outline: wide strokes in ink first, narrower ones over them all, so that joints show no seam.
const Limbs = ({limbs}: {limbs: Limb[]}) => (
  <>
    {limbs.map((limb, n) => <polyline key={`edge${n}`} points={lineOf(limb.points)} class="limb-edge" stroke-width={limb.wide} />)}
    {limbs.map((limb, n) => <polyline key={`fill${n}`} points={lineOf(limb.points)} class="limb-fill" stroke-width={limb.wide - 4.5} />)}
  </>
);

interface Pose {ball: Spot; up: number; lean: number; bend: number; faint?: boolean}  // angles in degrees: the foot's, the shank's, the knee's
const joints = ({ball, up, lean, bend}: Pose) => {
  const foot = (up * Math.PI) / 180;
  const heel = {x: ball.x - 44 * Math.cos(foot), y: ball.y - 44 * Math.sin(foot)};
  const ankle = {x: heel.x + 8 * Math.cos(foot) + 20 * Math.sin(foot), y: heel.y + 8 * Math.sin(foot) - 20 * Math.cos(foot)};
  const shank = (lean * Math.PI) / 180;
  const knee = {x: ankle.x + 64 * Math.sin(shank), y: ankle.y - 64 * Math.cos(shank)};
  const thigh = ((lean - bend) * Math.PI) / 180;
  const hip = {x: knee.x + 60 * Math.sin(thigh), y: knee.y - 60 * Math.cos(thigh)};
  return {heel, ankle, knee, hip, toe: {x: ball.x + 15, y: ball.y + 1}, ball};
};

const Leg = (pose: Pose) => {
  const {heel, ankle, knee, hip, toe, ball} = joints(pose);
  return (
    <g class={pose.faint ? 'ghost' : ''}>
      <Limbs limbs={[{points: [hip, knee], wide: 25}, {points: [knee, ankle, {x: ankle.x + 4, y: ankle.y + 6}], wide: 20},
                     {points: [{x: heel.x + 3, y: heel.y - 7}, {x: ball.x, y: ball.y - 7}, {x: toe.x - 4, y: toe.y - 7}], wide: 17}]} />
    </g>
  );
};

const Sticker = ({at, n}: {at: Spot; n?: string}) => (
  <g><circle cx={at.x} cy={at.y} r="5.5" class="aid-fill" /><circle cx={at.x} cy={at.y} r="2.2" class="dot" />{n ? <text x={at.x - 20} y={at.y + 4}>{n}</text> : null}</g>
);

const Card = ({x, y = floor - 30}: {x: number; y?: number}) => (
  <g class="aid"><rect x={x} y={y} width="24" height="30" class="paper" />
    {[0, 1].map(row => [0, 1].map(column => <rect key={`${row}${column}`} x={x + 4 + column * 9} y={y + 4 + row * 12} width="7" height="8" class="aid-fill" />))}</g>
);

const Scene = ({children, label}: {children: ComponentChildren; label?: string}) => (
  <svg class="drawing" viewBox="0 -22 240 212" role={label ? 'img' : undefined} aria-label={label} aria-hidden={label ? undefined : true} focusable="false">
    <line x1="6" y1={floor} x2="234" y2={floor} />
    {children}
  </svg>
);

const Wall = ({x}: {x: number}) => <path d={`M${x} 6V${floor} M${x + 5} 6V${floor}`} class="thin" />;
const arrow = (x: number, from: number, to: number): string => `M${x} ${from}V${to}M${x - 5} ${to + (to < from ? 7 : -7)}L${x} ${to}L${x + 5} ${to + (to < from ? 7 : -7)}`;

const raise = (bent: boolean) => {
  const pose = {ball: {x: 142, y: floor}, up: 34, lean: bent ? 24 : 4, bend: bent ? 48 : 2};
  const {heel} = joints(pose);
  return (
    <>
      <Wall x={214} />
      <Card x={36} />
      <Leg {...pose} />
      <Sticker at={{x: heel.x + 3, y: heel.y - 7}} />
      <path d={arrow(80, floor - 4, floor - 34)} class="aid" />
    </>
  );
};

const hop = (side: string) => (
  <>
    <Card x={36} />
    {side === 'both' ? <Leg ball={{x: 158, y: floor - 17}} up={16} lean={10} bend={16} faint /> : <Leg ball={{x: 128, y: floor - 52}} up={42} lean={64} bend={80} faint />}
    <Leg ball={{x: 142, y: floor - 17}} up={16} lean={10} bend={16} />
    <Sticker at={{x: 103, y: floor - 36}} />
    <path d={arrow(80, floor - 4, floor - 30)} class="aid" />
    <path d={`M128 ${floor - 6}h26 M134 ${floor - 11}h14`} class="aid" />
  </>
);

const lunge = () => {
  const pose = {ball: {x: 128, y: floor}, up: 0, lean: 38, bend: 72};
  const {ankle, knee} = joints(pose);
  return (
    <>
      <Wall x={knee.x + 14} />
      <Card x={36} />
      <Leg {...pose} />
      <Sticker at={ankle} />
      <Sticker at={knee} />
      <path d={`M${ankle.x} ${ankle.y}V${ankle.y - 60}`} class="aid dashed" />
      <path d={`M${ankle.x} ${ankle.y - 44}A44 44 0 0 1 ${ankle.x + 27} ${ankle.y - 35}`} class="aid" />
      <path d={`M146 ${floor + 8}H${knee.x + 12}`} class="aid" />
    </>
  );
};

export const TestDrawing = ({slot, label}: {slot: Pick<Slot, 'test' | 'side' | 'knee'>; label?: string}) => (
  <Scene label={label}>{slot.test === 'lunge' ? lunge() : slot.test === 'hop' ? hop(slot.side) : raise(slot.knee === 'bent')}</Scene>
);

// From above: the foot, the card in its plane, the camera square to it.
export const CameraDrawing = ({distance}: {distance: string}) => (
  <svg class="drawing" viewBox="0 0 240 150" role="img" aria-label={t('setup.from-above', {distance})} focusable="false">
    <path d="M128 26c14 0 34 2 42 9 4 4 4 8 0 12-8 6-28 8-42 8-10 0-16-6-16-14s6-15 16-15Z" class="flesh" />
    <circle cx="117" cy="52" r="4.5" class="aid-fill" />
    <path d="M62 53h34" class="aid" stroke-width="5" />
    <path d="M100 53h72" class="thin dashed" />
    <path d="M117 62V112" class="aid" />
    <path d="M112 105l5 8 5-8 M112 69l5-8 5 8" class="aid" />
    <text x="126" y="92">{distance}</text>
    <rect x="98" y="120" width="38" height="22" rx="4" class="flesh" />
    <path d="M110 120l3-6h8l3 6" />
    <circle cx="117" cy="131" r="5.5" />
  </svg>
);
