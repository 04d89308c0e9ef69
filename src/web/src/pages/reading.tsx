// Sides compared, what is found, what to train: as the server's screen.json has it.
import {useState} from 'preact/hooks';
import {post, asFault, type Fault} from '../kit/api';
import {language} from '../kit/settings';
import type {Visit, VisitStore} from '../kit/store';
import type {Screen} from '../types/screen';
import {screenFile, useFile} from '../kit/use';
import {Button, FaultBox, Notice, Progress} from '../kit/parts';
import {t} from '../kit/words';
import {useWhenMeasured} from './when_measured';
import {CautionsSaid, Findings, PlanView, References, SidesTable, TrendsView} from './screen_parts';

export function Reading({store, visit}: {store: VisitStore; visit: Visit}) {
  const [fault, setFault] = useState<Fault | null>(null);
  const {state} = visit.screen;
  const ready = state !== 'running' && Boolean(visit.screen.made_at);  // papers are there, be they of before
  const made = visit.screen.made_at ?? '';
  const {value: screen, fault: missing} = useFile<Screen>(ready ? screenFile(visit.id, 'screen.json') : null, made);
  const run = async (): Promise<void> => {
    setFault(null);
    store.asked.value = 'reading';
    try {
      if (await store.flush()) await post(`/api/visits/${visit.id}/screen`, {language: language.value});
      await store.fetch();
    } catch (error) {
      setFault(asFault(error));
    }
  };
  const {waits, wanted, then} = useWhenMeasured(visit, () => void run());
  const stale = ready && (state === 'stale' || state === 'failed') || ready && visit.screen.of_revision !== undefined && visit.screen.of_revision !== visit.revision;
  return (
    <>
      <div class="section-head"><h2 id="h-reading" tabIndex={-1}>{t('visit.reading')}</h2></div>
      <div class="actions">
        <Button kind={ready && !stale ? 'plain' : 'main'} busy={wanted} disabled={state === 'running'} onClick={then}>{ready ? t('reading.again') : t('reading.do')}</Button>
        <span class="hint">{t('reading.hint')}</span>
      </div>
      {waits ? <p class="hint" role="status">{waits} {wanted ? t('waits.then') : ''}</p> : null}
      {state === 'running' ? <div role="status"><Progress label={t('reading.running')} share={visit.screen.share ?? null} /></div> : null}
      {state === 'failed' && store.asked.value !== 'keep' && visit.screen.error?.code !== 'already-in-record' ? <FaultBox fault={visit.screen.error} /> : null}
      {stale ? <Notice tone="care" live><p>{t('reading.stale')}</p></Notice> : null}
      <FaultBox fault={fault ?? (ready ? missing : null)} />
      {ready && screen ? <ScreenView screen={screen} /> : null}
    </>
  );
}

export const ScreenView = ({screen}: {screen: Screen}) => (
  <>
    <CautionsSaid screen={screen} />
    <Findings screen={screen} />
    <PlanView screen={screen} />
    <SidesTable screen={screen} />
    <References screen={screen} />
    <TrendsView screen={screen} />
  </>
);
