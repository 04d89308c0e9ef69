// The height over time with the events as handles: dragged along, panned, zoomed.
import uPlot from 'uplot';
import {num} from '../kit/words';
import type {Event} from './model';

// As many as the steps between ticks need, so that none is rounded to another.
const decimalsOf = (ticks: number[]): number => [0, 1, 2].find(n => ticks.every(tick => Math.abs(tick * 10 ** n - Math.round(tick * 10 ** n)) < 1e-6)) ?? 3;

export interface TraceSpec {x: number[]; y: (number | null)[]; yLabel: string; xLabel: string; events: Event[]; chosen: string | null; now: number}
export interface TraceHandlers {seek: (t: number) => void; choose: (event: Event) => void; drag: (event: Event, t: number) => void; drop: (event: Event, t: number) => void}
export interface TraceHandle {set: (spec: TraceSpec) => void; destroy: () => void; span: () => [number, number]; show: (from: number, to: number) => void}

const reach_px = 9;
const least_span_s = 0.2;

export function drawTrace(node: HTMLElement, first: TraceSpec, on: TraceHandlers): TraceHandle {
  let spec = first;
  let held: Event | null = null;
  let held_t = 0;
  let span: [number, number] = [first.x[0] ?? 0, first.x.at(-1) ?? 1];
  const colour = (name: string): string => getComputedStyle(node).getPropertyValue(`--${name}`).trim();
  const inks = (): Record<string, string> => Object.fromEntries(['ink', 'soft', 'left', 'low', 'focus', 'line', 'surface'].map(name => [name, colour(name)]));
  let ink = inks();
  const low = spec.y.reduce<number>((least, v) => (v === null ? least : Math.min(least, v)), 0);
  const high = spec.y.reduce<number>((most, v) => (v === null ? most : Math.max(most, v)), 1);
  const room = (high - low) * 0.12;
  const at = (event: Event): number => (held && held.key === event.key ? held_t : event.t);

  const drawEvents = (u: uPlot): void => {
    const {ctx, bbox} = u;
    const px = devicePixelRatio;
    ctx.save();
    ctx.beginPath();
    ctx.rect(bbox.left, 0, bbox.width, bbox.top + bbox.height);
    ctx.clip();
    ctx.font = `${11 * px}px system-ui, sans-serif`;
    ctx.textAlign = 'center';
    for (const event of spec.events) {
      const t = at(event);
      if (t < span[0] || t > span[1]) continue;
      const x = u.valToPos(t, 'x', true);
      const big = event.which === 'peak' || event.which === 'touchdown' || event.which === 'set-end';
      const chosen = event.key === spec.chosen;
      ctx.strokeStyle = ctx.fillStyle = chosen ? ink.focus! : event.tone === 'low' ? ink.low! : event.tone === 'counted' ? ink.left! : ink.soft!;
      ctx.lineWidth = (chosen ? 2.5 : 1) * px;
      ctx.setLineDash(event.which === 'set-end' ? [6 * px, 3 * px] : event.which === 'peak' ? [] : [2 * px, 3 * px]);
      ctx.beginPath();
      ctx.moveTo(x, bbox.top + 14 * px);
      ctx.lineTo(x, bbox.top + bbox.height);
      ctx.stroke();
      ctx.setLineDash([]);
      const y = bbox.top + (big ? 8 : 16) * px;
      ctx.beginPath();
      if (event.tone === 'low') {
        ctx.moveTo(x - 5 * px, y + 5 * px);
        ctx.lineTo(x + 5 * px, y + 5 * px);
        ctx.lineTo(x, y - 5 * px);
        ctx.closePath();
      } else ctx.arc(x, y, (big ? 5 : 3.5) * px, 0, 2 * Math.PI);
      if (event.tone === 'not') {
        ctx.fillStyle = ink.surface!;
        ctx.fill();
        ctx.lineWidth = 1.5 * px;
        ctx.stroke();
      } else ctx.fill();
      if (big && event.n > 0 && span[1] - span[0] < 90) {
        ctx.fillStyle = ink.ink!;
        ctx.fillText(String(event.n), x, bbox.top - 3 * px);
      }
    }
    if (spec.now >= span[0] && spec.now <= span[1]) {
      const x = u.valToPos(spec.now, 'x', true);
      ctx.strokeStyle = ink.focus!;
      ctx.lineWidth = 1.5 * px;
      ctx.beginPath();
      ctx.moveTo(x, bbox.top);
      ctx.lineTo(x, bbox.top + bbox.height);
      ctx.stroke();
    }
    ctx.restore();
  };

  const axis = (label: string): uPlot.Axis => ({label, labelSize: 18, labelFont: '12px system-ui, sans-serif', font: '12px system-ui, sans-serif', stroke: () => ink.ink!,
    grid: {stroke: () => ink.line!, width: 1}, ticks: {stroke: () => ink.line!, width: 1, size: 4}});
  const plot = new uPlot({
    width: Math.max(240, node.clientWidth), height: 240, legend: {show: false}, padding: [18, 12, 0, 0],
    cursor: {drag: {x: false, y: false}, points: {show: false}, y: false},
    scales: {x: {time: false, range: () => span}, y: {range: () => [low - room / 2, high + room]}},
    axes: [{...axis(spec.xLabel), size: 32, values: (_u, ticks) => ticks.map(tick => num(tick, decimalsOf(ticks)))},
           {...axis(spec.yLabel), size: 44, values: (_u, ticks) => ticks.map(tick => num(tick, decimalsOf(ticks)))}],
    series: [{}, {stroke: () => ink.ink!, width: 1.4, points: {show: false}, spanGaps: false}],
    hooks: {draw: [drawEvents]}}, [spec.x, spec.y] as uPlot.AlignedData, node);

  let due = false;
  const redraw = (): void => {
    if (due) return;
    due = true;
    requestAnimationFrame(() => {
      due = false;
      plot.redraw(false, false);
    });
  };
  const show = (from: number, to: number): void => {
    const [least, most] = [spec.x[0] ?? 0, spec.x.at(-1) ?? 1];
    const wide = Math.min(Math.max(to - from, least_span_s), most - least);
    const begin = Math.min(Math.max(from, least), most - wide);
    span = [begin, begin + wide];
    plot.setScale('x', {min: span[0], max: span[1]});
  };
  const time = (event: PointerEvent | WheelEvent): number => plot.posToVal(event.clientX - plot.over.getBoundingClientRect().left, 'x');
  const near = (event: PointerEvent): Event | null => {
    const x = event.clientX - plot.over.getBoundingClientRect().left;
    const close = spec.events.map(one => ({one, off: Math.abs(plot.valToPos(one.t, 'x') - x)})).filter(({off}) => off < reach_px)
      .sort((a, b) => (a.one.key === spec.chosen ? -1 : b.one.key === spec.chosen ? 1 : a.off - b.off));
    return close[0]?.one ?? null;
  };
  let from: {x: number; span: [number, number]; moved: boolean} | null = null;
  plot.over.addEventListener('pointerdown', event => {
    if (event.button !== 0) return;
    plot.over.setPointerCapture(event.pointerId);
    held = near(event);
    from = {x: event.clientX, span: [...span], moved: false};
    if (held) {
      held_t = held.t;
      on.choose(held);
    }
  });
  plot.over.addEventListener('pointermove', event => {
    if (!from) {
      plot.over.style.cursor = near(event) ? 'ew-resize' : 'grab';
      return;
    }
    if (Math.abs(event.clientX - from.x) > 3) from.moved = true;
    if (!from.moved) return;
    if (held) {
      held_t = time(event);
      on.drag(held, held_t);
      return redraw();
    }
    const per_px = (from.span[1] - from.span[0]) / plot.over.clientWidth;
    const by = (from.x - event.clientX) * per_px;
    show(from.span[0] + by, from.span[1] + by);
  });
  plot.over.addEventListener('pointerup', event => {
    const was = from;
    const dropped = held;
    from = held = null;
    if (!was) return;
    if (!was.moved) return on.seek(dropped ? dropped.t : time(event));
    if (dropped) on.drop(dropped, held_t);
  });
  plot.over.addEventListener('pointercancel', () => {
    from = held = null;
    redraw();
  });
  plot.over.addEventListener('wheel', event => {
    event.preventDefault();
    const middle = time(event);
    const factor = event.deltaY > 0 ? 1.25 : 0.8;
    show(middle - (middle - span[0]) * factor, middle + (span[1] - middle) * factor);
  }, {passive: false});
  const watch = new ResizeObserver(() => plot.setSize({width: Math.max(240, node.clientWidth), height: 240}));
  watch.observe(node);
  return {
    set: next => {
      const moved = next.now !== spec.now;
      const other = next.x !== spec.x || next.y !== spec.y;
      spec = next;
      ink = inks();
      if (other) plot.setData([spec.x, spec.y] as uPlot.AlignedData);
      const wide = span[1] - span[0];
      if (moved && (spec.now < span[0] || spec.now > span[1])) show(spec.now - wide / 2, spec.now + wide / 2);
      else redraw();
    },
    span: () => span, show,
    destroy: () => {
      watch.disconnect();
      plot.destroy();
    }};
}
