// Papers to print and the visit kept in the record.
import {useState} from 'preact/hooks';
import {post, asFault, type Fault} from '../kit/api';
import type {Visit, VisitStore} from '../kit/store';
import {screenFile} from '../kit/use';
import {to} from '../kit/router';
import {Button, FaultBox, Link, Notice, TextField} from '../kit/parts';
import {t, type Key} from '../kit/words';

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
  const [kept, setKept] = useState(false);
  const [why, setWhy] = useState('');
  const [busy, setBusy] = useState(false);
  const there = fault?.code === 'already-in-record';
  const keep = async (): Promise<void> => {
    setBusy(true);
    setFault(null);
    try {
      if (await store.flush()) {
        await post(`/api/visits/${visit.id}/keep`, why.trim() ? {correction: why.trim()} : {});
        setKept(true);
        void store.fetch();
      }
    } catch (error) {
      setFault(asFault(error));
    }
    setBusy(false);
  };
  const ready = visit.screen.state === 'ready' || visit.screen.state === 'stale';
  return (
    <>
      <h2 id="h-keep" tabIndex={-1}>{t('visit.keep')}</h2>
      {ready ? <><p>{t('keep.papers')}</p><Papers path={name => screenFile(visit.id, name)} /></> : <p class="hint">{t('keep.first-read')}</p>}
      {kept || visit.kept ? (
        <Notice tone="good" live><p><strong>{t('keep.kept')}</strong></p><p><Link href={to('people', visit.session.person.code)}>{t('keep.to-person', {code: visit.session.person.code})}</Link></p></Notice>
      ) : null}
      <FaultBox fault={fault} />
      {there ? <TextField label={t('keep.why')} hint={t('keep.why-hint')} value={why} onInput={setWhy} /> : null}
      <div class="actions"><Button kind="main" busy={busy} disabled={!ready || (there && !why.trim())} onClick={() => void keep()}>{there ? t('keep.replace') : t('keep.do')}</Button>
        <span class="hint">{t('keep.where')}</span></div>
    </>
  );
}
