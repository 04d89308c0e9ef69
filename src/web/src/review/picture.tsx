// The clip's frame in sight, whole or close to the foot. A frame is shown by its number, exactly.
import {useEffect, useRef, useState} from 'preact/hooks';
import type {Frames} from '../types/frames';
import {t} from '../kit/words';

export interface Spot {x: number; y: number}
interface Props {src: string; about: Frames; frame: number; close: boolean; spots: Spot[]; cross: Spot | null; onPoint: ((at: Spot) => void) | null; label: string}

// Seeks one at a time: a wish that comes meanwhile waits, only the last one counts.
class Seeker {
  private wanted: number | null = null;
  private busy = false;
  constructor(private readonly video: HTMLVideoElement, private readonly shown: (frame: number) => void) {
    video.addEventListener('seeked', this.seeked);
    video.addEventListener('loadedmetadata', this.start);
  }
  private at = -1;
  private readonly start = (): void => {
    this.busy = false;
    if (this.wanted !== null) this.go(this.wanted);
  };
  private readonly seeked = (): void => {
    this.busy = false;
    this.shown(this.at);
    if (this.wanted !== null && this.wanted !== this.at) this.go(this.wanted);
  };
  go(frame: number): void {
    this.wanted = frame;
    if (this.busy || this.video.readyState < 1) return;
    const time = (frame + 0.5) / 30;
    if (this.at === frame && Math.abs(this.video.currentTime - time) < 1e-6) return;
    this.busy = true;
    this.at = frame;
    this.video.currentTime = time;
  }
  end(): void {
    this.video.removeEventListener('seeked', this.seeked);
    this.video.removeEventListener('loadedmetadata', this.start);
  }
}

export function Picture({src, about, frame, close, spots, cross, onPoint, label}: Props) {
  const video = useRef<HTMLVideoElement>(null);
  const seeker = useRef<Seeker | null>(null);
  const [shown, setShown] = useState(-1);
  useEffect(() => {
    if (!video.current) return;
    seeker.current = new Seeker(video.current, setShown);
    seeker.current.go(frame);
    return () => seeker.current?.end();
  }, [src]);
  useEffect(() => seeker.current?.go(frame), [frame, src]);
  const corner: [number, number] = close ? about.foot?.[Math.min(frame, about.foot.length - 1)] ?? [0, 0] : [0, 0];
  const wide = close ? about.foot_size! : Math.round(about.width / about.scale);
  const high = close ? about.foot_size! : Math.round(about.height / about.scale);
  const point = (event: MouseEvent): void => {
    if (!onPoint) return;
    const box = (event.currentTarget as Element).getBoundingClientRect();
    onPoint({x: corner[0] + ((event.clientX - box.left) / box.width) * wide - 0.5, y: corner[1] + ((event.clientY - box.top) / box.height) * high - 0.5});
  };
  const r = wide / 60;
  return (
    <div class={`review-picture ${close ? 'close' : ''} ${onPoint ? 'pointing' : ''}`} data-frame={shown}>
      <video ref={video} src={src} muted playsInline preload="auto" aria-label={label} />
      <svg viewBox={`${corner[0]} ${corner[1]} ${wide} ${high}`} preserveAspectRatio="none" onClick={point} aria-hidden="true">
        {spots.map((spot, n) => <Cross key={n} spot={spot} r={r} kind="set" />)}
        {spots.length === 2 ? <line class="set" x1={spots[0]!.x + 0.5} y1={spots[0]!.y + 0.5} x2={spots[1]!.x + 0.5} y2={spots[1]!.y + 0.5} /> : null}
        {cross ? <Cross spot={cross} r={r} kind="aim" /> : null}
      </svg>
      {shown !== frame ? <span class="unseen">{t('loading')}</span> : null}
    </div>
  );
}

const Cross = ({spot, r, kind}: {spot: Spot; r: number; kind: string}) => {
  const [x, y] = [spot.x + 0.5, spot.y + 0.5];
  return (
    <g class={kind}>
      <circle cx={x} cy={y} r={r} />
      <line x1={x - 1.6 * r} y1={y} x2={x - 0.4 * r} y2={y} /><line x1={x + 0.4 * r} y1={y} x2={x + 1.6 * r} y2={y} />
      <line x1={x} y1={y - 1.6 * r} x2={x} y2={y - 0.4 * r} /><line x1={x} y1={y + 0.4 * r} x2={x} y2={y + 1.6 * r} />
    </g>
  );
};
