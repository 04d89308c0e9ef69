// The desk: visits that are open, a new one, one clip only, the people.
import {useEffect, useState} from 'preact/hooks';
import {signal} from '@preact/signals';
import {get, post, del, asFault, online, type Fault} from '../kit/api';
import {about} from '../kit/about';
import {hear} from '../kit/store';
import {go, to} from '../kit/router';
import {Button, CheckField, Dialog, FaultBox, Heading, Link, Notice, TextField} from '../kit/parts';
import {day, t} from '../kit/words';
import {codeForm, dateDoubt, dateFault, today} from './dates';

interface OpenVisit {id: string; code?: string; date?: string; quick: boolean; made_at?: string; kept?: boolean}
const visits = signal<OpenVisit[] | null>(null);

const fetchVisits = async (): Promise<void> => {
  visits.value = await get<OpenVisit[]>('/api/visits');
};

export function Start() {
  const [fault, setFault] = useState<Fault | null>(null);
  const [closing, setClosing] = useState<OpenVisit | null>(null);
  const load = (): void => {
    fetchVisits().then(() => setFault(null)).catch(error => setFault(asFault(error)));
  };
  useEffect(() => {
    load();
    return hear(happening => (happening.what === 'changed' || happening.what === 'visits') && load());
  }, [online.value]);
  const open = visits.value?.filter(visit => !visit.quick) ?? [];
  return (
    <div class="start">
      <Heading level={1}>{t('start.title')}</Heading>
      <div class="start-grid">
        <NewVisit />
        <section class="sheet" aria-labelledby="open-visits">
          <Heading id="open-visits">{t('start.open')}</Heading>
          <FaultBox fault={fault} retry={load} />
          {about.value?.unreadable_visits?.map(id => <Notice key={id} tone="bad"><p><strong>{t('start.unreadable')}</strong> {t('start.unreadable-do', {id})}</p></Notice>)}
          <ul class="list open-list">
            {open.map(visit => (
              <li key={visit.id}>
                <a class="list-main" href={to('visit', visit.id)}><strong>{visit.code}</strong><span>{visit.date ? day(visit.date) : ''}</span>{visit.kept ? <span class="tag good">{t('start.kept')}</span> : null}</a>
                <Button kind="quiet" label={t('start.discard-of', {code: visit.code ?? ''})} onClick={() => setClosing(visit)}>{t('start.discard')}</Button>
              </li>
            ))}
          </ul>
          {visits.value && open.length === 0 && !about.value?.unreadable_visits?.length ? <p class="hint">{t('start.none-open')}</p> : null}
        </section>
        <section class="sheet" aria-labelledby="one-clip">
          <Heading id="one-clip">{t('quick.title')}</Heading>
          <p>{t('start.quick')}</p>
          <Link kind="plain" href={to('quick')}>{t('start.quick-go')}</Link>
        </section>
        <section class="sheet" aria-labelledby="people-link">
          <Heading id="people-link">{t('people.title')}</Heading>
          <p>{t('start.people')}</p>
          <Link kind="plain" href={to('people')}>{t('start.people-go')}</Link>
        </section>
      </div>
      {closing ? <Discard visit={closing} onDone={() => {
        setClosing(null);
        load();
      }} /> : null}
    </div>
  );
}

function NewVisit() {
  const [code, setCode] = useState('');
  const [date, setDate] = useState(today());
  const [tester, setTester] = useState('');
  const [fault, setFault] = useState<Fault | null>(null);
  const [tried, setTried] = useState(false);
  const [busy, setBusy] = useState(false);
  const [sureOf, setSureOf] = useState('');  // an odd date that was said to be right
  const wrongDate = tried ? dateFault(date) : '';
  const doubt = dateFault(date) ? '' : dateDoubt(date);
  const wrong = code !== '' || tried ? (codeForm.test(code) ? '' : t('start.code-form')) : '';
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    setTried(true);
    if (!codeForm.test(code) || dateFault(date)) return;
    if (doubt && sureOf !== date) return;
    setBusy(true);
    setFault(null);
    try {
      const made = await post<{id: string}>('/api/visits', {code, date, ...(tester ? {tester} : {})});
      go('visit', made.id);
    } catch (error) {
      setFault(asFault(error));
    }
    setBusy(false);
  };
  return (
    <form class="sheet lead" onSubmit={submit} aria-labelledby="new-visit" noValidate>
      <Heading id="new-visit">{t('start.new')}</Heading>
      <TextField label={t('person.code')} value={code} onInput={setCode} hint={t('start.code-hint')} error={wrong} required maxLength={40} />
      <div class="pair">
        <TextField label={t('visit.date')} value={date} onInput={setDate} type="date" required error={wrongDate} />
        <TextField label={t('visit.tester')} value={tester} onInput={setTester} />
      </div>
      {doubt ? <Notice tone="care" live><p>{doubt}</p><CheckField label={t('date.sure')} checked={sureOf === date} onValue={sure => setSureOf(sure ? date : '')} /></Notice> : null}
      <FaultBox fault={fault} />
      <Button kind="main" type="submit" disabled={doubt !== '' && sureOf !== date} busy={busy}>{t('start.go')}</Button>
    </form>
  );
}

function Discard({visit, onDone}: {visit: OpenVisit; onDone: () => void}) {
  const [fault, setFault] = useState<Fault | null>(null);
  const discard = (): void => {
    del(`/api/visits/${visit.id}`).then(onDone).catch(error => setFault(asFault(error)));
  };
  return (
    <Dialog title={t('start.discard-title', {code: visit.code ?? '', date: visit.date ? day(visit.date) : ''})} onClose={onDone}>
      <p>{t('start.discard-text')}</p>
      <FaultBox fault={fault} />
      <div class="actions"><Button kind="danger" onClick={discard}>{t('start.discard-do')}</Button><Button onClick={onDone}>{t('cancel')}</Button></div>
    </Dialog>
  );
}
