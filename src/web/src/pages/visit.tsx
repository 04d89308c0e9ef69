// A whole visit on one page, in the order of the work. Nothing forces the order; what is missing is plain.
import {painStop, questions} from '../kit/about';
import {to} from '../kit/router';
import {rows, slotName, slotOf, testKey, type Row, type Side} from '../kit/slots';
import {useResult, useVisit} from '../kit/use';
import type {TestState, Visit, VisitStore} from '../kit/store';
import {FaultBox, Heading, Headline, Link, Loading, NumberField, SelectField, SideName, TextField} from '../kit/parts';
import {day, said, t, type Key} from '../kit/words';
import {sendingOf} from '../kit/upload';
import {ClipProgress, PickButton, sendTo, useArrival, useDrop} from './clip';
import {BeatBox} from './beat_box';
import {TestDrawing} from './drawings';
import {Cautions} from './cautions';
import {ByHand, painText} from './fields';
import {LogEditor} from './log';
import {FailedBox} from './point_out';
import {Reading} from './reading';
import {Keep} from './keep';
import {KnownFacts} from './known_facts';
import {Refer, NoHops, referring, unanswered} from './before_test';
import {Twin} from './twin';
import {Clashes, Saving} from './saving';
import {isCorrected, massWords, shownOf} from './result_numbers';

const firstKey = {lunge: ['knee_to_wall_cm'], 'heel-raise': ['reps'], hop: ['lowest_kept_bpm']};
const empty: TestState = {state: 'empty'};

export const isDone = (test: TestState | undefined): boolean =>
  test !== undefined && (test.state === 'measured' || Object.values(test.by_hand ?? {}).some(value => value !== null && value !== undefined));

export function VisitPage({visit: id}: {visit: string}) {
  const store = useVisit(id);
  const visit = store.view.value;
  if (!visit) return store.fault.value ? <FaultBox fault={store.fault.value} retry={() => void store.fetch()} /> : <Loading />;
  const {person, date} = visit.session;
  return (
    <>
      <div class="page-head">
        <Heading level={1}>{person.code}</Heading>
        <span class="soft">{t('visit.of-day', {date: day(date)})}</span>
        <Saving store={store} />
      </div>
      <Clashes store={store} />
      {store.fault.value && store.fault.value.code !== 'offline' ? <FaultBox fault={store.fault.value} retry={() => void store.fetch()} /> : null}
      <div class="visit">
        <StepList visit={visit} />
        <div class="visit-body">
          <section class="sheet" id="cautions" aria-labelledby="h-cautions"><Cautions store={store} visit={visit} /></section>
          <section class="sheet" id="person" aria-labelledby="h-person"><Person store={store} visit={visit} /></section>
          <Refer visit={visit} />
          {rows.map(row => <TestRow key={row.key} row={row} store={store} visit={visit} />)}
          <section class="sheet" id="log"><LogEditor store={store} visit={visit} /></section>
          <section class="sheet" id="reading" aria-labelledby="h-reading"><Reading store={store} visit={visit} /></section>
          <section class="sheet" id="keep" aria-labelledby="h-keep"><Keep store={store} visit={visit} /></section>
        </div>
      </div>
    </>
  );
}

const answered = (visit: Visit): number => questions.value.length - unanswered(visit);
const factKeys = ['birth_year', 'sex', 'height_cm', 'mass_kg', 'affected_side'] as const;

// Where one is in the work: done, part of it, nothing.
function StepList({visit}: {visit: Visit}) {
  const steps: {id: string; name: string; done: number; of: number}[] = [
    {id: 'cautions', name: said('caution.heading'), done: answered(visit), of: questions.value.length},
    {id: 'person', name: t('visit.person'), done: factKeys.filter(key => visit.session.person[key] !== null && visit.session.person[key] !== undefined).length, of: factKeys.length},
    ...rows.map(row => ({id: row.key, name: said(testKey(row)), done: row.sides.filter(side => isDone(visit.tests[slotName(row.test, side, row.knee)])).length, of: row.sides.length})),
    {id: 'reading', name: t('visit.reading'), done: visit.screen.state === 'ready' ? 1 : 0, of: 1},
    {id: 'keep', name: t('visit.keep'), done: visit.screen.kept ? 1 : 0, of: 1}];
  return (
    <nav class="steps" aria-label={t('visit.steps')}>
      <ol>
        {steps.map(step => (
          <li key={step.id}>
            <a href={`#${step.id}`} onClick={event => {
              event.preventDefault();
              const section = document.getElementById(step.id);
              section?.scrollIntoView();
              section?.querySelector<HTMLElement>('h2')?.focus({preventScroll: true});
            }}>
              <span>{step.name}</span>
              <span class={step.done === step.of && step.of > 0 ? 'done' : step.done ? 'part' : 'none'}>
                {step.id === 'cautions' && referring(visit).length ? <strong class="refer"><span aria-hidden="true">! </span>{t('visit.refer')}</strong>
                  : step.done === step.of && step.of > 0 ? <><span aria-hidden="true">✓</span><span class="unseen">{t('visit.done')}</span></> : step.of > 1 ? t('visit.part', {done: step.done, of: step.of}) : '–'}
              </span>
            </a>
          </li>
        ))}
      </ol>
    </nav>
  );
}

function Person({store, visit}: {store: VisitStore; visit: Visit}) {
  const {person, shoes, tester, remark} = visit.session;
  const edit = (key: string, value: unknown): void => store.edit(['session', 'person', key], value);
  const choices = (keys: readonly string[], word: (key: string) => string) => [{value: '', label: t('not-stated')}, ...keys.map(value => ({value, label: word(value)}))];
  return (
    <>
      <h2 id="h-person" tabIndex={-1}>{t('visit.person')}</h2>
      <KnownFacts store={store} visit={visit} />
      <div class="person-grid">
        <NumberField label={t('person.birth-year')} decimals={0} least={1900} most={Number(visit.session.date.slice(0, 4)) || 2100} value={person.birth_year} onValue={value => edit('birth_year', value)} />
        <SelectField label={t('person.sex')} value={person.sex ?? ''} options={choices(['female', 'male', 'other'], key => t(`person.${key}` as Key))} onValue={value => edit('sex', value || null)} />
        <NumberField label={t('person.height')} unit="cm" least={80} most={250} value={person.height_cm} onValue={value => edit('height_cm', value)} />
        <NumberField label={t('person.mass')} unit="kg" least={10} most={400} value={person.mass_kg} onValue={value => edit('mass_kg', value)} hint={t('person.mass-hint')} />
        <SelectField label={t('person.affected')} value={person.affected_side ?? ''} options={choices(['left', 'right', 'both', 'none'], key => t(`affected.${key}` as Key))} onValue={value => edit('affected_side', value || null)} />
        <TextField label={t('person.sport')} value={person.sport ?? ''} onInput={value => edit('sport', value || null)} />
        <TextField label={t('visit.shoes')} value={shoes ?? ''} onInput={value => store.edit(['session', 'shoes'], value || null)} />
        <TextField label={t('visit.tester')} value={tester ?? ''} onInput={value => store.edit(['session', 'tester'], value || null)} />
        <TextField class="wide-field" label={t('visit.remark')} value={remark ?? ''} onInput={value => store.edit(['session', 'remark'], value || null)} />
      </div>
    </>
  );
}

function TestRow({row, store, visit}: {row: Row; store: VisitStore; visit: Visit}) {
  const first = slotOf(slotName(row.test, 'left', row.knee))!;
  const leg = (side: Side) => <LegCard key={side} store={store} visit={visit} name={slotName(row.test, side, row.knee)} />;
  const missing = row.sides.filter(side => !isDone(visit.tests[slotName(row.test, side, row.knee)]));
  return (
    <section id={row.key} aria-labelledby={`h-${row.key}`} class="column-tight">
      <div class="section-head">
        <h2 id={`h-${row.key}`} tabIndex={-1}>{said(testKey(row))}</h2>
        <span class="soft">{missing.length ? t('visit.missing', {sides: missing.map(side => t(`side.${side}`).toLowerCase()).join(', ')}) : t('visit.all-tested')}</span>
      </div>
      <NoHops visit={visit} test={row.test} />
      <div class={`legs ${row.sides.includes('both') ? 'with-both' : ''}`}>
        <div class="middle">
          <TestDrawing slot={first} />
          <p class="hint">{t(`short.${row.key}` as Key)}</p>
          {row.test === 'lunge' ? null : <BeatBox slot={first} small />}
          {row.sides.includes('both') ? leg('both') : null}
        </div>
        {leg('left')}
        {leg('right')}
      </div>
    </section>
  );
}

// One leg's test at a glance; a clip can be dropped on it.
function LegCard({store, visit, name}: {store: VisitStore; visit: Visit; name: string}) {
  const slot = slotOf(name)!;
  const test = visit.tests[name] ?? empty;
  const {busy, broken} = useArrival(visit.id, name, test);
  const sending = sendingOf(`${visit.id}/${name}`).value;
  const send = (file: File): void => {
    if (!busy && test.state !== 'measured') void sendTo(visit.id, name, file).then(() => store.fetch());
    else location.hash = to('visit', visit.id, name);
  };
  const drop = useDrop(send);
  const pain = painText(test);
  const what = `${said(testKey(slot))}, ${t(`side.${slot.side}`)}`;
  return (
    <div class={`leg ${slot.side} ${drop.over ? 'over' : ''}`} role="group" aria-label={what} {...drop.handlers}>
      <div class="leg-head"><h3><SideName side={slot.side} /></h3><StateTag test={test} busy={busy} broken={broken} /></div>
      <Twin visit={visit} name={name} />
      {busy || broken ? <ClipProgress visit={visit.id} slot={name} test={test} /> : test.state === 'measured' ? <Glance visit={visit} name={name} test={test} />
        : <ByHand store={store} slot={slot} test={test} keys={firstKey[slot.test]} />}
      {test.state === 'failed' && !busy ? <FailedBox id={visit.id} slot={slot} test={test} store={store} /> : null}
      {sending?.state === 'failed' && !busy && !broken && test.state !== 'measured' ? <FaultBox fault={sending.fault} file={sending.name} /> : null}
      {pain ? <p class={painStop.value !== null && (test.pain?.worst ?? 0) > painStop.value ? 'over-limit' : 'hint'}>{t('pain.short', {pain})}</p> : null}
      <div class="actions">
        <Link kind={test.state === 'empty' || test.state === 'measured' ? 'plain' : 'main'} href={to('visit', visit.id, name)} label={t('visit.open-test', {test: what})}>{t('visit.open')}</Link>
        {busy || test.state === 'measured' || slot.test === 'lunge' ? null : <PickButton kind="plain" label={t('clip.choose')} take={send} />}
      </div>
    </div>
  );
}

function StateTag({test, busy, broken}: {test: TestState; busy: boolean; broken: boolean}) {
  if (broken) return <span class="tag care">{t('state.broken')}</span>;
  if (busy && (test.state === 'uploading' || test.state === 'empty')) return <span class="tag">{t('state.coming')}</span>;
  if (busy) return <span class="tag">{t('state.busy')}</span>;
  if (test.state === 'measured') return <span class="tag good">{t('state.measured')}</span>;
  if (test.state === 'failed') return <span class="tag bad">{t('state.failed')}</span>;
  if (isDone(test)) return <span class="tag good">{said('got.by-hand')}</span>;
  return <span class="tag">{t(test.state === 'cancelled' ? 'state.cancelled' : 'state.missing')}</span>;
}

function Glance({visit, name, test}: {visit: Visit; name: string; test: TestState}) {
  const {value: result, fault} = useResult(visit.id, name, true, test.measured_at ?? '');
  if (fault) return <FaultBox fault={fault} />;
  if (!result) return <p class="hint">{t('loading')}</p>;
  const mass = visit.session.person.mass_kg ?? null;
  const shown = shownOf(result, mass);
  const main = shown.find(one => one.main);
  const other = massWords(result, mass);
  return (
    <>
      {main ? <Headline value={main.value} unit={main.unit}>{main.label}</Headline> : null}
      {isCorrected(result) ? <p><span class="tag care">{t('result.by-hand')}</span></p> : null}
      {other ? <p class="over-limit">{other}</p> : null}
      {!test.has_clip ? <p class="hint">{t('clip.not-kept')}</p> : null}
      <dl class="facts">{shown.filter(one => !one.main).slice(0, 4).map(one => <><dt>{one.label}</dt><dd>{one.value} {one.unit}</dd></>)}</dl>
      {result.notes.length ? <p class="hint">{t('result.notes', {n: result.notes.length})}</p> : null}
    </>
  );
}
