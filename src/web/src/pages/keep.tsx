// Papers to print and the visit kept in the record.
import {useState} from 'preact/hooks';
import {post, asFault, type Fault} from '../kit/api';
import type {Visit, VisitStore} from '../kit/store';
import {screenFile} from '../kit/use';
import {to} from '../kit/router';
import {language} from '../kit/settings';
import {Button, FaultBox, Link, Notice, TextField} from '../kit/parts';
import {t, type Key} from '../kit/words';
import {useWhenMeasured} from './when_measured';

const files: [string, Key][] = [['clinician.pdf', 'paper.clinician'], ['runner.pdf', 'paper.runner'], ['values.csv', 'paper.values'],
                                ['comparison.csv', 'paper.comparison'], ['fhir.json', 'paper.fhir'], ['screen.json', 'paper.screen']];

export function Papers({path}: {path: (name: string) => string}) {
  return (
    <div class="actions">
      {files.map(([name, key]) => <Link key={name} kind="plain" href={path(name)} newTab={name.endsWith('.pdf')} download={name.endsWith('.pdf') ? undefined : name}>{t(key)}</Link>)}
    </div>
  );
}

export function Keep({store, visit}: {store: VisitStore; visit: Visit}) {
  const [fault, setFault] = useState<Fault | null>(null);
  const [why, setWhy] = useState('');
  const {state, kept, error} = visit.screen;
  const running = state === 'running';
  const said = fault ?? (!running && state === 'failed' && (store.asked.value === 'keep' || error?.code === 'already-in-record') ? error : null) ?? null;
  const there = said?.code === 'already-in-record';
  const keep = async (): Promise<void> => {
    setFault(null);
    store.asked.value = 'keep';
    try {
      if (!(await store.flush())) return;
      await post(`/api/visits/${visit.id}/keep`, {language: language.value, ...(why.trim() ? {correction: why.trim()} : {})});
      void store.fetch();
    } catch (error) {
      setFault(asFault(error));
    }
  };
  const ready = !running && Boolean(visit.screen.made_at);
  const {waits, wanted, then} = useWhenMeasured(visit, () => void keep());
  return (
    <>
      <h2 id="h-keep" tabIndex={-1}>{t('visit.keep')}</h2>
      {ready ? <><p>{t('keep.papers')}</p><Papers path={name => screenFile(visit.id, name)} /></> : <p class="hint">{t('keep.first-read')}</p>}
      {kept ? (
        <Notice tone="good" live><p><strong>{t('keep.kept')}</strong></p><p><Link href={to('people', visit.session.person.code)}>{t('keep.to-person', {code: visit.session.person.code})}</Link></p></Notice>
      ) : null}
      <FaultBox fault={said} />
      {there ? <TextField label={t('keep.why')} hint={t('keep.why-hint')} value={why} onInput={setWhy} /> : null}
      <div class="actions"><Button kind={kept ? 'plain' : 'main'} busy={running || wanted} onClick={then}>{there && why.trim() ? t('keep.replace') : t('keep.do')}</Button>
        <span class="hint">{t('keep.where')}</span></div>
      {waits ? <p class="hint">{waits} {wanted ? t('waits.then') : ''}</p> : null}
    </>
  );
}
