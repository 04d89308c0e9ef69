// The people in the record, by code; one of them with visits, trends, plan, training log, papers; export and erase.
import {useEffect, useState} from 'preact/hooks';
import {about} from '../kit/about';
import {download, get, post, asFault, online, type Fault} from '../kit/api';
import {go, to} from '../kit/router';
import {forgetFiles, useFile} from '../kit/use';
import type {Screen} from '../types/screen';
import type {Session} from '../types/session';
import {Button, Dialog, FaultBox, Fold, Heading, Link, Loading, Notice, TextField} from '../kit/parts';
import {bytes, day, num, said, t} from '../kit/words';
import {today} from './dates';
import {CautionsSaid, Findings, PlanView, SidesTable, TrendsView, slotWord} from './screen_parts';

interface Listed {code: string; visits: number; first_date: string; last_date: string}
interface Kept {date: string; revisions?: {number: number; at: string; why: string | null}[]; documents?: {kind: string; slot: string; current: boolean}[]}

export function PeoplePage() {
  const [people, setPeople] = useState<Listed[] | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const [search, setSearch] = useState('');
  const load = (): void => {
    get<Listed[]>('/api/people').then(setPeople).catch(error => setFault(asFault(error)));
  };
  useEffect(load, [online.value]);
  const found = (people ?? []).filter(one => one.code.toLowerCase().includes(search.trim().toLowerCase()));
  return (
    <div class="column">
      <Heading level={1}>{t('people.title')}</Heading>
      <FaultBox fault={fault} retry={load} />
      <section class="sheet">
        <TextField label={t('people.search')} type="search" value={search} onInput={setSearch} />
        {people === null && !fault ? <Loading /> : null}
        <p class="hint" role="status">{people === null ? '' : people.length === 0 ? t('people.none') : t('people.found', {n: found.length})}</p>
        <ul class="list">
          {found.map(one => (
            <li key={one.code}><a class="list-main" href={to('people', one.code)}><strong>{one.code}</strong>
              <span>{t('people.visits', {n: one.visits})}</span><span>{t('people.last', {date: day(one.last_date)})}</span></a></li>
          ))}
        </ul>
      </section>
    </div>
  );
}

const visitPath = (code: string, date: string, file: string): string => `/api/people/${encodeURIComponent(code)}/visits/${date}/${file}`;

export function PersonPage({code}: {code: string}) {
  const [visits, setVisits] = useState<Kept[] | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const [asking, setAsking] = useState<'export' | 'erase' | null>(null);
  const [erased, setErased] = useState(false);
  const load = (): void => {
    get<{visits: Kept[]}>(`/api/people/${encodeURIComponent(code)}`).then(said => setVisits(said.visits))
      .catch(error => setFault(asFault(error)));
  };
  useEffect(load, [code, online.value]);
  const newest = visits?.length ? visits.map(one => one.date).sort().at(-1)! : null;
  const {value: screen, fault: missing} = useFile<Screen>(newest ? visitPath(code, newest, 'screen.json') : null, `${newest} ${visits?.length}`);
  const begin = (): void => {
    post<{id: string}>('/api/visits', {code, date: today()}).then(made => go('visit', made.id)).catch(error => setFault(asFault(error)));
  };
  return (
    <div class="column">
      <div class="page-head"><Link href={to('people')}>← {t('people.title')}</Link></div>
      {erased ? null : <>
      <div class="page-head"><Heading level={1}>{code}</Heading>
        <div class="actions"><Button kind="main" onClick={begin}>{t('person.new-visit')}</Button><Button onClick={() => setAsking('export')}>{t('person.export')}</Button>
          <Button kind="danger" onClick={() => setAsking('erase')}>{t('person.erase')}</Button></div></div>
      <FaultBox fault={fault ?? missing} retry={load} />
      {visits === null && !fault ? <Loading /> : null}
      {visits ? <VisitList code={code} visits={visits} onFault={setFault} /> : null}
      {screen ? (
        <>
          {screen.trends.length ? <section class="sheet"><TrendsView screen={screen} /></section> : <section class="sheet"><h2>{said('trends.heading')}</h2><p class="hint">{t('person.no-trends')}</p></section>}
          <section class="sheet"><CautionsSaid screen={screen} /><Findings screen={screen} /><PlanView screen={screen} /><NextSteps screen={screen} /></section>
          <section class="sheet"><SidesTable screen={screen} /></section>
        </>
      ) : null}
      </>}
      {asking === 'export' ? <Export code={code} onClose={() => setAsking(null)} /> : null}
      {asking === 'erase' ? <Erase code={code} onClose={() => setAsking(null)} onErased={() => setErased(true)} /> : null}
    </div>
  );
}

function VisitList({code, visits, onFault}: {code: string; visits: Kept[]; onFault: (fault: Fault) => void}) {
  // To the open copy, where there is one: what was changed in it is not left behind.
  const open = async (date: string): Promise<void> => {
    try {
      const there = (await get<{id: string; code: string; date: string; quick: boolean}[]>('/api/visits')).find(one => !one.quick && one.code === code && one.date === date);
      go('visit', (there ?? (await post<{id: string}>(visitPath(code, date, 'open')))).id);
    } catch (error) {
      onFault(asFault(error));
    }
  };
  return (
    <section class="sheet" aria-labelledby="visits">
      <h2 id="visits">{t('person.visits')}</h2>
      {[...visits].sort((a, b) => (a.date < b.date ? 1 : -1)).map(visit => (
        <Fold key={visit.date} title={day(visit.date)} open={visits.length === 1}>
          <p class="hint"><Tested code={code} visit={visit} />
            {(visit.revisions?.length ?? 0) > 1 ? ` · ${t('person.corrected', {n: visit.revisions!.length - 1})}` : ''}</p>
          <div class="actions"><Button onClick={() => void open(visit.date)}>{t('person.open')}</Button>
            <Link kind="plain" href={visitPath(code, visit.date, 'screen.json')} download={`${code}-${visit.date}.json`}>{t('paper.screen')}</Link></div>
          <p class="hint">{t('person.papers')}</p>
        </Fold>
      ))}
    </section>
  );
}

// What was tested, from clips and typed in.
function Tested({code, visit}: {code: string; visit: Kept}) {
  const {value: session} = useFile<Session>(visitPath(code, visit.date, 'session.json'), String(visit.revisions?.length ?? 0));
  const measured = [...new Set((visit.documents ?? []).filter(one => one.current && one.kind === 'result').map(one => one.slot))];
  const typed = (session?.tests ?? []).filter(one => Object.values(one.by_hand ?? {}).some(value => value !== null)).map(one => [one.test, one.side, one.knee].filter(Boolean).join('/'));
  return <>{[...measured.map(slotWord), ...typed.filter(slot => !measured.includes(slot)).map(slot => `${slotWord(slot)} (${said('got.by-hand')})`)].join(', ')}</>;
}

const NextSteps = ({screen}: {screen: Screen}) => (screen.next_steps.length ? (
  <>
    <h3>{t('person.log')}</h3>
    <ul>{screen.next_steps.map(step => <li key={step.ladder}>{said('plan.log', {days: num(step.days_on_rung), ladder: said(`ladder.${step.ladder}`), move: step.why ? said(`move.${step.why}`) : ''})}</li>)}</ul>
  </>) : null);

function Export({code, onClose}: {code: string; onClose: () => void}) {
  const [words, setWords] = useState('');
  const [again, setAgain] = useState('');
  const [fault, setFault] = useState<Fault | null>(null);
  const [busy, setBusy] = useState(false);
  const [done, setDone] = useState('');
  const differ = again !== '' && words !== again;
  const short = words !== '' && new TextEncoder().encode(words).length < 8;
  const run = async (): Promise<void> => {
    setBusy(true);
    setFault(null);
    try {
      setDone(await download(`/api/people/${encodeURIComponent(code)}/export`, words ? {passphrase: words} : {}, `${code}.zip`));
    } catch (error) {
      setFault(asFault(error));
    }
    setBusy(false);
  };
  return (
    <Dialog title={t('export.title', {code})} onClose={onClose}>
      <p>{t('export.text')}</p>
      <TextField label={t('export.passphrase')} type="password" value={words} onInput={setWords} hint={t('export.passphrase-hint')} error={short ? t('export.short') : ''} autocomplete="new-password" />
      {words ? <TextField label={t('export.passphrase-again')} type="password" value={again} onInput={setAgain} error={differ ? t('export.differ') : ''} autocomplete="new-password" /> : null}
      <FaultBox fault={fault} />
      {done ? <Notice tone="good" live><p>{t('export.done', {name: done})}</p></Notice> : null}
      <div class="actions"><Button kind="main" busy={busy} disabled={words !== '' && (short || words !== again)} onClick={() => void run()}>{words ? t('export.sealed') : t('export.open')}</Button><Button onClick={onClose}>{t('close')}</Button></div>
    </Dialog>
  );
}

interface Receipt {number: string; visits: number; documents: number; clips: number; clip_bytes: number; open_visits: number}

function Erase({code, onClose, onErased}: {code: string; onClose: () => void; onErased: () => void}) {
  const [typed, setTyped] = useState('');
  const [fault, setFault] = useState<Fault | null>(null);
  const [receipt, setReceipt] = useState<Receipt | null>(null);
  const run = (): void => {
    post<Receipt>(`/api/people/${encodeURIComponent(code)}/erase`, {code: typed}).then(said => {
      forgetFiles();
      setReceipt(said);
      onErased();
    })
      .catch(error => setFault(asFault(error)));
  };
  if (receipt) {
    return (
      <Dialog key="receipt" title={t('erase.done-title')} onClose={() => go('people')}>
        <p>{t('erase.done')}</p>
        {about.value?.unreadable_visits?.length ? <Notice tone="care"><p>{t('erase.unreadable', {ids: about.value.unreadable_visits.join(', ')})}</p></Notice> : null}
        <dl class="facts">
          <dt>{t('erase.number')}</dt><dd>{receipt.number}</dd>
          <dt>{t('person.visits')}</dt><dd>{num(receipt.visits)}</dd>
          <dt>{t('start.open')}</dt><dd>{num(receipt.open_visits)}</dd>
          <dt>{t('erase.documents')}</dt><dd>{num(receipt.documents)}</dd>
          <dt>{t('erase.clips')}</dt><dd>{num(receipt.clips)} ({bytes(receipt.clip_bytes)})</dd>
        </dl>
        <div class="actions"><Button kind="main" onClick={() => go('people')}>{t('close')}</Button></div>
      </Dialog>
    );
  }
  return (
    <Dialog key="asked" title={t('erase.title', {code})} onClose={onClose}>
      <Notice tone="bad"><p>{t('erase.text')}</p></Notice>
      <TextField label={t('erase.again', {code})} value={typed} onInput={setTyped} />
      <FaultBox fault={fault} />
      <div class="actions"><Button kind="danger" disabled={typed !== code} onClick={run}>{t('erase.do')}</Button><Button onClick={onClose}>{t('cancel')}</Button></div>
    </Dialog>
  );
}
