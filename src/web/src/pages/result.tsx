// A clip's result: the number that matters, the others with their uncertainty, the trace, the notes.
import {useMemo, useState} from 'preact/hooks';
import type {Result} from '../types/result';
import {useResult, useTrace, fileOf, type Table} from '../kit/use';
import {Plot} from '../kit/plot_view';
import type {PlotSpec, Mark, Stretch} from '../kit/plot';
import {post, asFault, type Fault} from '../kit/api';
import {Button, FaultBox, Headline, Link, Loading, Notice} from '../kit/parts';
import {language} from '../kit/settings';
import {toTest} from '../kit/router';
import {num, numU, said, t} from '../kit/words';
import {slotOf, testKey, type Side} from '../kit/slots';
import type {TestState} from '../kit/store';
import {Notes} from './notes';
import {isCorrected, massWords, shownOf} from './result_numbers';

export function Numbers({result, mass}: {result: Result; mass?: number | null}) {
  const shown = shownOf(result, mass);
  const main = shown.find(one => one.main);
  return (
    <>
      {main ? <Headline value={main.value} unit={main.unit}>{main.label}{main.note ? ` · ${main.note}` : ''}</Headline> : null}
      {isCorrected(result) ? <p><span class="tag care">{t('result.by-hand')}</span></p> : null}
      <dl class="numbers">
        {shown.filter(one => !one.main).map(one => (
          <div key={one.label}><dt>{one.label}</dt><dd><span class="value">{one.value} {one.unit}</span>{one.note ? <small>{one.note}</small> : null}</dd></div>
        ))}
      </dl>
      <p class="hint">{t('result.u')}</p>
    </>
  );
}

const gaps = (time: (number | null)[], flag: (number | null)[], wanted: number): Stretch[] => {
  const all: Stretch[] = [];
  let from: number | null = null;
  time.forEach((now, n) => {
    const is = flag[n] === wanted;
    if (is && from === null) from = now;
    if (from !== null && (!is || n === time.length - 1) && now !== null) {
      all.push({from, to: now, tone: 'soft'});
      from = null;
    }
  });
  return all;
};

function traceSpec(result: Result, table: Table, side: Side): PlotSpec | null {
  const x = (table.columns.time_s ?? []) as number[];
  const base = {x, xLabel: t('plot.seconds'), height: 260, decimals: 0};
  if (result.heel_raise) {
    const raise = result.heel_raise;
    const marks: Mark[] = raise.reps.map(rep => ({x: rep.peak_s, y: rep.height_cm, tone: rep.low ? 'low' : side, hollow: !rep.counted, ...(rep.low ? {shape: 'triangle' as const} : {})}));
    return {...base, yLabel: 'cm', lines: [{label: t('result.height'), values: table.columns.height_cm ?? [], tone: side, dash: []}], marks,
            stretches: gaps(x, table.columns.seen ?? [], 0), uprights: [{x: raise.set_end.t_s, text: t('result.set-end')}],
            levels: raise.reference_height_cm === null ? [] : [{y: raise.reference_height_cm, text: t('result.reference')}]};
  }
  if (result.hop) {
    const sole = (table.columns.clearance_cm ?? []).some(value => value !== null);
    return {...base, yLabel: 'cm', lines: [{label: t('result.clearance'), values: (sole ? table.columns.clearance_cm : table.columns.heel_up_cm) ?? [], tone: side, dash: []}],
            stretches: gaps(x, table.columns.in_contact ?? [], 1)};
  }
  if (result.lunge)
    return {...base, yLabel: '°', lines: [{label: said('quantity.shank_deg'), values: table.columns.shank_deg ?? [], tone: side, dash: []}],
            stretches: [{from: result.lunge.hold_from_s, to: result.lunge.hold_to_s, tone: 'soft'}]};
  return null;
}

const TraceLegend = ({result}: {result: Result}) => (
  <p class="legend">
    {result.heel_raise ? <>
      <span><svg viewBox="0 0 12 12" aria-hidden="true"><circle cx="6" cy="6" r="4" fill="currentColor" /></svg>{t('legend.counted')}</span>
      <span><svg viewBox="0 0 12 12" aria-hidden="true"><path d="M6 1.500 10.500 10H1.500Z" fill="none" stroke="currentColor" stroke-width="1.5" /></svg>{t('legend.low')}</span>
      <span><svg viewBox="0 0 12 12" aria-hidden="true"><circle cx="6" cy="6" r="4" fill="none" stroke="currentColor" stroke-width="1.5" /></svg>{t('legend.hollow')}</span>
      <span>{t('legend.bridged')}</span></> : result.hop ? <span>{t('legend.contact')}</span> : <span>{t('legend.hold')}</span>}
    <span>{t('legend.zoom')}</span>
  </p>
);

function Trace({visit, slot, stamp, result}: {visit: string; slot: string; stamp: string; result: Result}) {
  const trace = useTrace(visit, slot, stamp, true);
  const side = slotOf(slot)?.side ?? 'both';
  const spec = useMemo(() => (trace.value ? traceSpec(result, trace.value, side) : null), [trace.value, result, side, language.value]);
  if (trace.fault) return <FaultBox fault={trace.fault} />;
  if (!spec) return <div class="plot-box" aria-hidden="true" />;
  return <><Plot spec={spec} summary={t('plot.trace-summary', {test: said(testKey(slotOf(slot)!)), side: t(`side.${side}`)})} /><TraceLegend result={result} /></>;
}

const Steps = ({result}: {result: Result}) => (result.hop?.steps.length ? (
  <div class="table-box" tabIndex={0} role="region" aria-label={t('result.steps')}>
    <table>
      <caption class="unseen">{t('result.steps')}</caption>
      <thead><tr><th scope="col">{t('result.beat')}</th><th scope="col">{t('result.kept')}</th><th scope="col" class="figure">{t('result.hops')}</th>
        <th scope="col" class="figure">{said('quantity.contact_ms')} (ms)</th><th scope="col" class="figure">RSI (m/s)</th></tr></thead>
      <tbody>{result.hop.steps.map(step => (
        <tr key={`${step.beat_bpm} ${step.from_s}`}><th scope="row">{num(step.beat_bpm)} {t('unit.per-min')}</th><td>{step.kept ? said('beyond.yes') : said('beyond.no')}</td>
          <td class="figure">{num(step.hops)}</td><td class="figure">{numU(step.contact_ms, step.contact_ms_u)}</td><td class="figure">{numU(step.rsi, step.rsi_u, 3)}</td></tr>
      ))}</tbody>
    </table>
  </div>) : null);

const HowMeasured = ({result}: {result: Result}) => (
  <p class="hint">
    {t('result.how', {scale: said(`scale.${result.scale.from}`), seen: num(result.sticker.frames_seen), bridged: num(result.sticker.frames_bridged),
                      frames: num(result.clip.frames), rate: num(result.clip.frame_rate_hz), seconds: num(result.clip.duration_s, 1)})}
  </p>
);

// `mass`: the visit's body mass.
export function ResultView({visit, slot, test, mass}: {visit: string; slot: string; test: TestState; mass?: number | null}) {
  const [failed, setFailed] = useState<Fault | null>(null);
  const stamp = test.measured_at ?? '';
  const {value: result, fault} = useResult(visit, slot, test.state === 'measured', stamp);
  if (fault) return <FaultBox fault={fault} />;
  const {fault: traceless} = useTrace(visit, slot, stamp, result !== null && test.has_clip === true);
  if (!result) return <Loading />;
  // Out of the record comes the result alone; trace, report and pictures are made of its clip, where that was kept.
  const bare = !test.has_clip || traceless?.code === 'no-such-file';
  const again = (): void => {
    post(`/api/visits/${visit}/tests/${slot}/measure`, {options: test.options ?? {}}).catch(error => setFailed(asFault(error)));
  };
  const mass_words = massWords(result, mass);
  const corrections = result.corrections?.length ?? test.corrections ?? 0;
  return (
    <>
      <Numbers result={result} mass={mass} />
      {mass_words ? <Notice tone="care"><p>{mass_words}</p>{test.has_clip ? <Button onClick={again}>{t('clip.again')}</Button> : null}</Notice> : null}
      {corrections ? <Notice>{t('result.corrected', {n: corrections})}</Notice> : null}
      <Notes notes={result.notes} />
      {bare ? null : <Trace visit={visit} slot={slot} stamp={stamp} result={result} />}
      <Steps result={result} />
      <HowMeasured result={result} />
      <FaultBox fault={failed} />
      {bare ? <Notice><p>{t(test.has_clip ? 'result.bare' : 'clip.not-kept')}</p>{test.has_clip && !mass_words ? <Button onClick={again}>{t('clip.again')}</Button> : null}</Notice> : <div class="actions">
        <Link kind="main" href={toTest(visit, slot, 'review')}>{t('result.review')}</Link>
        <Link kind="plain" href={fileOf(visit, slot, 'report.pdf')} newTab>{t('result.pdf')}</Link>
        <Link kind="plain" href={fileOf(visit, slot, 'trace.csv')} download={`${slot}-trace.csv`}>{t('result.csv')}</Link>
      </div>}
    </>
  );
}
