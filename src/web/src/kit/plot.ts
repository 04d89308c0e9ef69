// uPlot, set up as our charts are. Loaded only where a chart is drawn: `Plot` in plot_view.tsx does that.
import uPlot from 'uplot';
import {num} from './words';

export type Tone = 'left' | 'right' | 'both' | 'ink' | 'soft' | 'low';
export interface Line {label: string; values: (number | null)[]; tone: Tone; points?: boolean; width?: number; dash?: number[]}
export interface Mark {x: number; y: number; tone: Tone; hollow?: boolean; text?: string; shape?: 'disc' | 'square' | 'diamond' | 'triangle'}
export interface Band {low: number; high: number; strength: 1 | 2}
export interface Stretch {from: number; to: number; tone: Tone}
export interface Upright {x: number; text?: string}
export interface Level {y: number; text?: string}
export interface PlotSpec {
  x: number[]; lines: Line[]; marks?: Mark[]; bands?: Band[]; stretches?: Stretch[]; uprights?: Upright[]; levels?: Level[];
  xLabel: string; yLabel: string; xText?: (x: number) => string; xSplits?: number[]; height?: number; yFrom?: number; decimals?: number;
  onPick?: (x: number) => void; zoom?: boolean;
}
export interface PlotHandle {set: (spec: PlotSpec) => void; show: (from: number, to: number) => void; seek: (x: number | null) => void; redraw: () => void; destroy: () => void}

const colour = (node: Element, name: string): string => getComputedStyle(node).getPropertyValue(`--${name}`).trim();
const toneColour = (node: Element, tone: Tone): string => colour(node, tone === 'both' ? 'both' : tone);

const shape = (cx: CanvasRenderingContext2D, mark: Mark, x: number, y: number, size: number): void => {
  const kind = mark.shape ?? (mark.tone === 'left' ? 'disc' : mark.tone === 'right' ? 'square' : 'disc');
  cx.beginPath();
  if (kind === 'disc') cx.arc(x, y, size, 0, 2 * Math.PI);
  else if (kind === 'square') cx.rect(x - size * 0.9, y - size * 0.9, size * 1.8, size * 1.8);
  else if (kind === 'triangle') {
    cx.moveTo(x, y - size * 1.1);
    cx.lineTo(x + size * 1.1, y + size);
    cx.lineTo(x - size * 1.1, y + size);
    cx.closePath();
  } else {
    cx.moveTo(x, y - size * 1.2);
    cx.lineTo(x + size * 1.2, y);
    cx.lineTo(x, y + size * 1.2);
    cx.lineTo(x - size * 1.2, y);
    cx.closePath();
  }
};

const backdrop = (node: Element, spec: () => PlotSpec, seek: () => number | null) => (u: uPlot): void => {
  const {ctx, bbox} = u;
  const px = devicePixelRatio;
  const now = spec();
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  for (const band of now.bands ?? []) {
    ctx.fillStyle = colour(node, band.strength === 2 ? 'band-strong' : 'band');
    const top = u.valToPos(band.high, 'y', true);
    ctx.fillRect(bbox.left, top, bbox.width, u.valToPos(band.low, 'y', true) - top);
  }
  for (const stretch of now.stretches ?? []) {
    ctx.fillStyle = colour(node, 'band');
    const left = u.valToPos(stretch.from, 'x', true);
    ctx.fillRect(left, bbox.top, u.valToPos(stretch.to, 'x', true) - left, bbox.height);
  }
  ctx.font = `${12 * px}px system-ui, sans-serif`;
  ctx.fillStyle = ctx.strokeStyle = colour(node, 'soft');
  ctx.textAlign = 'left';
  ctx.textBaseline = 'alphabetic';
  ctx.lineWidth = px;
  for (const level of now.levels ?? []) {
    const y = u.valToPos(level.y, 'y', true);
    ctx.setLineDash([6 * px, 4 * px]);
    ctx.beginPath();
    ctx.moveTo(bbox.left, y);
    ctx.lineTo(bbox.left + bbox.width, y);
    ctx.stroke();
    if (level.text) ctx.fillText(level.text, bbox.left + 6 * px, y - 5 * px);
  }
  for (const upright of now.uprights ?? []) {
    const x = u.valToPos(upright.x, 'x', true);
    ctx.setLineDash([]);
    ctx.lineWidth = 1.5 * px;
    ctx.beginPath();
    ctx.moveTo(x, bbox.top);
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
    if (upright.text) {
      const wide = ctx.measureText(upright.text).width;
      ctx.fillText(upright.text, x + wide + 8 * px > bbox.left + bbox.width ? x - wide - 6 * px : x + 6 * px, bbox.top + 14 * px);
    }
  }
  const sought = seek();
  if (sought !== null) {
    const x = u.valToPos(sought, 'x', true);
    ctx.strokeStyle = colour(node, 'focus');
    ctx.lineWidth = 2 * px;
    ctx.beginPath();
    ctx.moveTo(x, bbox.top);
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
  }
  ctx.restore();
};

const foreground = (node: Element, spec: () => PlotSpec) => (u: uPlot): void => {
  const {ctx} = u;
  const px = devicePixelRatio;
  ctx.save();
  ctx.setLineDash([]);
  for (const mark of spec().marks ?? []) {
    const x = u.valToPos(mark.x, 'x', true);
    if (x < u.bbox.left - 1 || x > u.bbox.left + u.bbox.width + 1) continue;
    const ink = toneColour(node, mark.tone);
    shape(ctx, mark, x, u.valToPos(mark.y, 'y', true), 4.5 * px);
    ctx.fillStyle = mark.hollow ? colour(node, 'surface') : ink;
    ctx.strokeStyle = ink;
    ctx.lineWidth = 1.6 * px;
    ctx.fill();
    ctx.stroke();
  }
  ctx.restore();
};

const axis = (node: Element, label: string): uPlot.Axis => ({
  label: label || undefined, labelSize: label ? 20 : 0, labelFont: '13px system-ui, sans-serif', font: '12px system-ui, sans-serif', stroke: () => colour(node, 'ink'),
  grid: {stroke: () => colour(node, 'line'), width: 1}, ticks: {stroke: () => colour(node, 'line'), width: 1, size: 4}});

export function draw(node: HTMLElement, first: PlotSpec): PlotHandle {
  let spec = first;
  let sought: number | null = null;
  let plot: uPlot | null = null;
  const data = (): uPlot.AlignedData => [spec.x, ...spec.lines.map(line => line.values)] as uPlot.AlignedData;
  const make = (): void => {
    plot?.destroy();
    const decimals = spec.decimals ?? 0;
    plot = new uPlot({
      width: Math.max(240, node.clientWidth), height: spec.height ?? 220, legend: {show: false}, padding: [8, spec.xText ? 48 : 12, 0, 0],
      cursor: {drag: {x: spec.zoom !== false, y: false}, points: {show: false}, y: false},
      scales: {x: {time: false}, y: {range: (_u, low, high) => {
        const marks = (spec.marks ?? []).map(mark => mark.y).concat((spec.bands ?? []).flatMap(band => [band.low, band.high]), (spec.levels ?? []).map(level => level.y));
        const least = Math.min(low ?? 0, ...marks);
        const most = Math.max(high ?? 1, ...marks);
        const room = (most - least || 1) * 0.08;
        return [spec.yFrom ?? least - room, most + room];
      }}},
      axes: [
        {...axis(node, spec.xLabel), size: 34, values: (_u, ticks) => ticks.map(tick => (spec.xText ? spec.xText(tick) : num(tick, Number.isInteger(tick) ? 0 : 1))),
         ...(spec.xSplits ? {splits: () => spec.xSplits!} : {space: 60})},
        {...axis(node, spec.yLabel), size: 46, values: (_u, ticks) => ticks.map(tick => num(tick, Number.isInteger(tick) ? 0 : Math.max(1, decimals)))}],
      series: [{}, ...spec.lines.map(line => ({
        label: line.label, width: line.width ?? 1.6, stroke: () => toneColour(node, line.tone), dash: line.dash ?? (line.tone === 'right' ? [8, 3] : line.tone === 'both' ? [2, 3] : undefined),
        points: {show: line.points ?? false, size: 7}, spanGaps: false}))],
      hooks: {drawAxes: [backdrop(node, () => spec, () => sought)], draw: [foreground(node, () => spec)]}}, data(), node);
    plot.over.addEventListener('click', event => {
      if (spec.onPick && plot) spec.onPick(plot.posToVal(event.offsetX, 'x'));
    });
  };
  make();
  const watch = new ResizeObserver(() => plot?.setSize({width: Math.max(240, node.clientWidth), height: spec.height ?? 220}));
  watch.observe(node);
  return {
    set: next => {
      const alike = next.lines.length === spec.lines.length && next.height === spec.height;
      spec = next;
      if (alike && plot) plot.setData(data());
      else make();
    },
    show: (from, to) => plot?.setScale('x', {min: from, max: to}),
    seek: x => {
      sought = x;
      plot?.redraw(false);
    },
    redraw: () => plot?.redraw(false, true),
    destroy: () => {
      watch.disconnect();
      plot?.destroy();
    }};
}
