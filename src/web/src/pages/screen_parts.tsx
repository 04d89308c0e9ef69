// The parts of a screen.json, in the words of the clinician's paper.
import {useMemo} from 'preact/hooks';
import type {ComponentChildren} from 'preact';
import type {Screen, Evidence, Difference, Rung} from '../types/screen';
import {Plot} from '../kit/plot_view';
import type {PlotSpec} from '../kit/plot';
import {Fold, Notice, SideMark, SideName} from '../kit/parts';
import {language} from '../kit/settings';
import {testKey, type Side} from '../kit/slots';
import {day, num, numU, said, saidOr, t} from '../kit/words';
import {isCorrected, quantityDecimals, quantityUnit} from './result_numbers';

type SideRow = Screen['comparison']['sides'][number];
type Trend = Screen['trends'][number];
type Finding = Screen['reading']['findings'][number];

const sideWord = (side: Side | null): string => (side === null ? said('side.not-stated') : said(`side.${side}`));
const unitOf = (quantity: string): string => {
  const unit = quantityUnit(quantity);
  return unit === '' ? '' : saidOr(`unit.${unit}`, unit);
};
const withUnit = (quantity: string, value: number | null, decimals = quantityDecimals(quantity)): string => {
  const unit = unitOf(quantity);
  return `${num(value, decimals)}${unit && value !== null ? (unit === '°' ? unit : ` ${unit}`) : ''}`;
};
const quoted = (text: string): string => saidOr(`quoted.${text}`, text);
const formWord = (row: {test: SideRow['test']; knee: SideRow['knee']; beat_bpm?: number | null}): string =>
  row.beat_bpm ? said('slot.hop-at', {beat: num(row.beat_bpm)}) : said(testKey({test: row.test, knee: row.knee}));

export function CautionsSaid({screen}: {screen: Screen}) {
  const {cautions} = screen;
  const calm = !cautions.yes.length && !cautions.not_asked.length && !cautions.pain.length;
  return (
    <Notice tone={cautions.refer || cautions.no_hops ? 'bad' : calm ? 'good' : 'care'}>
      <h3>{said('caution.heading')}</h3>
      {cautions.yes.map(one => <p key={one.key}><strong>{said(`means.${one.means}`)}.</strong> {said('caution.yes', {question: said(`caution.${one.key}.question`)})} {said(`caution.${one.key}.action`)}</p>)}
      {cautions.not_asked.length ? <p>{said('caution.not-asked', {names: cautions.not_asked.map(key => said(`caution.${key}.name`)).join(', ')})}</p> : null}
      {calm ? <p>{said('caution.no-yes')}</p> : null}
      {cautions.pain.map(one => <p key={one.slot}><strong>{said('pain.heading')}:</strong> {slotWord(one.slot)}: {num(one.worst)} / 10</p>)}
    </Notice>
  );
}

// The sign at a number that a person corrected; its footnote stands below.
const sign = '\u202f†';  // never on a line of its own
type Corrected = (test: string, side: Side | null, knee: string | null) => string;
const correctedIn = (screen: Screen): Corrected => (test, side, knee) =>
  (screen.results.some(one => one.test === test && one.side === side && one.knee === knee && isCorrected(one)) ? sign : '');
const CorrectedFoot = ({screen}: {screen: Screen}) => (screen.results.some(isCorrected) ? <p class="hint">{sign.trim()} {t('result.by-hand')}</p> : null);
const opposite = (side: Side | null): Side | null => (side === 'left' ? 'right' : side === 'right' ? 'left' : side);

const becauseText = (one: Evidence, corrected: Corrected): string => {
  const form = formWord(one);
  const other = one.against === 'other-side' ? corrected(one.test, opposite(one.side), one.knee)
    : one.against === 'other-knee' ? corrected(one.test, one.side, one.knee === 'bent' ? 'straight' : 'bent') : '';
  const values = {form, quantity: said(`quantity.${one.quantity}`), side: sideWord(one.side), value: withUnit(one.quantity, one.value) + corrected(one.test, one.side, one.knee), other: withUnit(one.quantity, one.other) + other,
                  other_side: said(`side.${one.side === 'left' ? 'right' : 'left'}`)};
  return said(`because.${one.against}`, values);
};

const tidy = (text: string): string => (text ? text[0]!.toUpperCase() + text.slice(1) : text);

function FindingBox({finding, corrected}: {finding: Finding; corrected: Corrected}) {
  const on = finding.side === null ? '' : said(`on.${finding.side}`);
  return (
    <article class={`finding ${finding.side ?? 'both'}`}>
      <h3>{finding.side ? <><SideMark side={finding.side} /> </> : null}{said(`finding.${finding.key}.title`, {on})}</h3>
      <p><span class={`tag ${finding.sureness === 'sure' ? 'good' : ''}`}>{said('sureness.label', {sureness: said(`sureness.${finding.sureness}`)})}</span></p>
      <p>{said(`finding.${finding.key}.text`)} {said(`finding.${finding.key}.train`)}</p>
      <ul>{finding.because.map((one, n) => <li key={n}>{becauseText(one, corrected)}{one.limit ? `; ${said('because.limit', {limit: quoted(one.limit)})}` : ''}</li>)}</ul>
      {finding.could_also_be.length ? <p class="hint">{said('finding.other', {others: finding.could_also_be.map(key => said(`other.${key}`)).join(', ')})}</p> : null}
      {finding.source ? <p class="hint">{said('finding.rule', {source: quoted(finding.source), mark: finding.mark ? saidOr(`mark.${finding.mark.replaceAll(' ', '-')}`, finding.mark) : ''})}</p> : null}
    </article>
  );
}

export function Findings({screen}: {screen: Screen}) {
  const {findings, missing} = screen.reading;
  return (
    <>
      <h3>{said('findings.heading')}</h3>
      {findings.length ? <div class="findings">{findings.map((one, n) => <FindingBox key={n} finding={one} corrected={correctedIn(screen)} />)}</div> : <p>{said('findings.none')}</p>}
      {findings.length ? <CorrectedFoot screen={screen} /> : null}
      {missing.length ? <p class="hint">{said('findings.missing', {slots: missing.map(slotWord).join(', ')})}</p> : null}
    </>
  );
}

// "heel-raise/left/straight" in words.
export const slotWord = (key: string): string => {
  const [test = '', side = '', knee] = key.split('/');
  const form = knee ? said(`slot.${test}-${knee}`) : saidOr(`slot.${test}`, test);
  return side ? `${form} ${saidOr(`side.${side}`, side)}` : form;
};

const doseText = (rung: Rung): string => {
  const parts = [rung.reps_high === null ? said('dose.seconds', {sets: rung.sets, low: num(rung.low_s), high: num(rung.high_s)}) : said('dose.reps', {sets: rung.sets, low: num(rung.reps_low), high: num(rung.reps_high)})];
  if (rung.beat_bpm !== null) parts.push(said('dose.beat', {beat: num(rung.beat_bpm)}));
  if (rung.one_leg) parts.push(said('dose.each-leg'));
  return parts.join(', ');
};

export function PlanView({screen}: {screen: Screen}) {
  const {plan} = screen;
  return (
    <>
      <h3>{said('plan.heading')}</h3>
      {plan.made ? null : <p>{said('plan.none')} {plan.why_not ? said(`no-plan.${plan.why_not}`) : ''}</p>}
      <div class="findings">
        {plan.lines.map(line => (
          <article key={line.ladder} class="finding">
            <h3>{said(`ladder.${line.ladder}`)}: {said(`rung.${line.rung.key}.name`)}</h3>
            <p>{said(`rung.${line.rung.key}.how`)}</p>
            <p><strong>{doseText(line.rung)}</strong>{line.rung.loaded ? `, ${line.load_kg === null ? said('dose.load-unknown') : said('dose.load', {load: num(line.load_kg, 1)})}` : ''}</p>
            {line.leads && line.rung.one_leg && line.leads !== 'both' ? <p>{tidy(said(`leads.${line.leads}`))}.</p> : null}
            <ol class="week" aria-label={said('days.week', {days: line.days.join(', ')})}>
              {[1, 2, 3, 4, 5, 6, 7].map(one => <li key={one} class={line.days.includes(one) ? 'on' : ''} aria-hidden="true">{one}</li>)}
            </ol>
            {line.why ? <p class="hint">{tidy(said(`why.${line.why}`, {reps: num(line.by_reps)}))}{line.rung.mark ? ` (${saidOr(`mark.${line.rung.mark.replaceAll(' ', '-')}`, line.rung.mark)})` : ''}</p> : null}
            <p class="hint">{said('plan.column.next')}: {line.next ? said(`rung.${line.next.key}.name`) : said('plan.last-rung')}</p>
          </article>
        ))}
      </div>
      {plan.held_back.map(key => <Notice key={key} tone="care"><p>{said(`held.${key}`)}</p></Notice>)}
      {plan.next_test ? <p>{said('plan.next-test', {date: day(plan.next_test)})}</p> : null}
    </>
  );
}

const Beyond = ({is}: {is: boolean | null}) => (
  <td class={is ? 'beyond-yes' : is === null ? 'beyond-unknown' : ''}>{said(is === null ? 'beyond.not-known' : is ? 'beyond.yes' : 'beyond.no')}</td>
);

const DifferenceCells = ({quantity, of}: {quantity: string; of: Difference}) => (
  <>
    <td class="figure">{numU(of.difference, of.difference_u, quantityDecimals(quantity))}</td>
    <td class="figure">{num(of.index_pct)}</td>
    <Beyond is={of.beyond.measuring} />
    <td class={of.beyond.noise_cautious ? 'beyond-yes' : ''}>{noiseText(quantity, of)}</td>
    <Beyond is={of.beyond.cut_off} />
  </>
);

const noiseText = (quantity: string, of: Difference): string => {
  const low = of.noise_optimistic;
  const high = of.noise_cautious;
  if (low === null || high === null) return said('beyond.not-known');
  const word = (is: boolean | null): string => said(is === null ? 'beyond.not-known' : is ? 'beyond.yes' : 'beyond.no');
  const limit = (value: number): string => withUnit(quantity, value, value % 1 ? Math.max(1, quantityDecimals(quantity)) : quantityDecimals(quantity));
  return low === high ? `${word(of.beyond.noise_cautious)} (${limit(high)})` : `${word(of.beyond.noise_optimistic)} (${limit(low)}) / ${word(of.beyond.noise_cautious)} (${limit(high)})`;
};

export function SidesTable({screen}: {screen: Screen}) {
  const groups = new Map<string, SideRow[]>();
  for (const row of screen.comparison.sides) groups.set(formWord(row), [...(groups.get(formWord(row)) ?? []), row]);
  if (!groups.size) return null;
  return (
    <>
      <h3 id="sides-heading">{said('sides.heading')}</h3>
      <div class="table-box" tabIndex={0} role="region" aria-labelledby="sides-heading">
        <table>
          <thead>
            <tr><th scope="col">{said('sides.quantity')}</th><th scope="col" class="figure"><SideName side="left" /> ± u</th><th scope="col" class="figure"><SideName side="right" /> ± u</th>
              <th scope="col" class="figure">{said('sides.difference')}</th><th scope="col" class="figure">{said('sides.index')}</th>
              <th scope="col">{said('sides.measuring')}</th><th scope="col">{said('sides.noise')}</th><th scope="col">{said('sides.cut-off')}</th></tr>
          </thead>
          {[...groups].map(([form, rows]) => (
            <tbody key={form}>
              <tr class="group"><th colSpan={8} scope="rowgroup">{form}</th></tr>
              {rows.map(row => <SideLine key={row.quantity} row={row} corrected={correctedIn(screen)} />)}
            </tbody>
          ))}
        </table>
      </div>
      <CorrectedFoot screen={screen} />
      <p class="hint">{said('sides.foot', {affected: '', factor: num(1.96, 2)})}</p>
    </>
  );
}

const SideLine = ({row, corrected}: {row: SideRow; corrected: Corrected}) => {
  const unit = unitOf(row.quantity);
  const cell = (side: 'left' | 'right'): ComponentChildren => {
    const value = row[side];
    return <td class="figure">{row.weaker === side ? <><span aria-hidden="true">▼ </span><span class="unseen">{t('weaker')} </span></> : null}{value ? numU(value.value, value.u, quantityDecimals(row.quantity)) + corrected(row.test, side, row.knee) : '–'}</td>;
  };
  return (
    <tr>
      <th scope="row">{said(`quantity.${row.quantity}`)}{unit ? ` (${unit})` : ''}</th>
      {cell('left')}{cell('right')}
      {row.left_minus_right ? <DifferenceCells quantity={row.quantity} of={row.left_minus_right} /> : <td colSpan={5} class="soft">{row.why_not ? saidOr(`not-compared.${row.why_not}`, row.why_not) : '–'}</td>}
    </tr>
  );
};

export function References({screen}: {screen: Screen}) {
  const rows = screen.comparison.references;
  if (!rows.length) return null;
  return (
    <details class="fold">
      <summary>{said('references.heading')}</summary>
      <div class="fold-body">
        <div class="table-box" tabIndex={0} role="region" aria-label={said('references.heading')}>
          <table>
            <thead><tr><th scope="col">{said('sides.quantity')}</th><th scope="col" class="figure">{said('references.value')}</th><th scope="col">{said('references.reference')}</th></tr></thead>
            <tbody>
              {rows.map((row, n) => (
                <tr key={n}><th scope="row">{said(testKey(row))}, {sideWord(row.side)}: {said(`quantity.${row.quantity}`)}</th>
                  <td class="figure">{withUnit(row.quantity, row.measured.value)}{correctedIn(screen)(row.test, row.side, row.knee)}</td>
                  <td>{said(`statistic.${row.reference.statistic}`)} {row.reference.value === null ? `${num(row.reference.low)}–${num(row.reference.high)}` : withUnit(row.quantity, row.reference.value)}, {said(`sex.${row.reference.sex}`)}, {quoted(row.reference.population)}; {quoted(row.reference.source)}
                    {row.form_differs.length ? <span class="soft"> · {said('references.form-differs', {forms: row.form_differs.map(form => said(`form.${form}`)).join(', ')})}</span> : null}</td></tr>
              ))}
            </tbody>
          </table>
        </div>
        <p class="hint">{said('references.foot')}</p>
      </div>
    </details>
  );
}

const trendTitle = (trend: Trend): string =>
  `${said(`quantity.${trend.quantity}`)}, ${formWord(trend)}, ${trend.side === null ? said('trends.difference') : sideWord(trend.side)}`;

const days = (date: string): number => Date.parse(`${date}T00:00:00Z`) / 86_400_000;
const shortDay = (value: number): string => {
  const date = new Date(value * 86_400_000).toISOString().slice(0, 10);
  const [year, month, dayOfMonth] = date.split('-');
  return language.value === 'de' ? `${dayOfMonth}.${month}.${year!.slice(2)}` : `${date}`;
};

function TrendBox({trend}: {trend: Trend}) {
  const spec = useMemo<PlotSpec | null>(() => {
    const known = trend.points.filter(point => point.value !== null);
    const first = known[0];
    if (!first) return null;
    const tone = trend.side ?? 'both';
    const x = known.map(point => days(point.date));
    const band = (half: number | null, strength: 1 | 2) => (half === null ? [] : [{low: first.value! - half, high: first.value! + half, strength}]);
    return {x, xLabel: '', yLabel: unitOf(trend.quantity), height: 170, xText: shortDay, xSplits: x.length > 4 ? [x[0]!, x[x.length - 1]!] : x, zoom: false,
            lines: [{label: trendTitle(trend), values: known.map(point => point.value), tone}], decimals: quantityDecimals(trend.quantity),
            marks: known.map(point => ({x: days(point.date), y: point.value!, tone, shape: tone === 'both' ? 'diamond' as const : undefined})),
            bands: [...band(trend.noise_cautious, 1), ...band(trend.noise_optimistic, 2)]};
  }, [trend, language.value]);
  const verdict = trend.verdict === 'changed' && trend.better !== null ? said(trend.better ? 'change.better' : 'change.worse') : said(`change.${trend.verdict}`);
  const values = trend.points.map(point => `${day(point.date)}: ${withUnit(trend.quantity, point.value)}`).join('; ');
  return (
    <article class="trend">
      <h3>{trend.side ? <><SideMark side={trend.side} /> </> : null}{trendTitle(trend)}</h3>
      {spec ? <Plot spec={spec} summary={`${trendTitle(trend)}: ${values}`} /> : null}
      <p>{verdict}</p>
      {trend.form_differs ? <p class="hint">{saidOr(`form.${trend.form_differs}`, trend.form_differs)}</p> : null}
    </article>
  );
}

export function TrendsView({screen}: {screen: Screen}) {
  if (!screen.trends.length) return null;
  // Those whose noise is published tell a change from none; they come first.
  const hasBand = (trend: Trend): boolean => trend.noise_cautious !== null || trend.noise_optimistic !== null;
  const banded = screen.trends.filter(hasBand);
  const rest = screen.trends.filter(trend => !hasBand(trend));
  return (
    <>
      <h3>{said('trends.heading')}</h3>
      {banded.length ? <div class="trends">{banded.map((trend, n) => <TrendBox key={n} trend={trend} />)}</div> : null}
      {rest.length ? <Fold title={t('trends.rest', {n: rest.length})} open={!banded.length}><div class="trends">{rest.map((trend, n) => <TrendBox key={n} trend={trend} />)}</div></Fold> : null}
      <p class="hint">{said('trends.foot')}</p>
    </>
  );
}
