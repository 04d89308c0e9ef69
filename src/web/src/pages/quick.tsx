// Somebody alone: one clip, one result, nothing kept unless it is asked for.
import {useEffect, useState} from 'preact/hooks';
import {del, get, post, asFault, type Fault} from '../kit/api';
import {go, to} from '../kit/router';
import {slotName, slotOf, testKey, type Side, type Test} from '../kit/slots';
import {fileOf, useVisit} from '../kit/use';
import {Button, Choice, FaultBox, Fold, Heading, Link, Loading, Notice, NumberField, SideMark, TextField} from '../kit/parts';
import {said, t} from '../kit/words';
import {sendTo, useDrop, PickButton, ClipProgress, isBusy} from './clip';
import {BeatBox} from './beat_box';
import {ResultView} from './result';
import {Setup} from './setup';
import {ClipSection, wide} from './test';
import {questions} from '../kit/about';

export const QuickPage = ({visit}: {visit: string}) => (visit ? <QuickResult id={visit} /> : <QuickStart />);

function QuickStart() {
  const [test, setTest] = useState<Test>('heel-raise');
  const [side, setSide] = useState<Side>('left');
  const [knee, setKnee] = useState<'straight' | 'bent'>('straight');
  const [mass, setMass] = useState<number | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const [busy, setBusy] = useState(false);
  const chosen = test !== 'hop' && side === 'both' ? 'left' : side;
  const slot = slotOf(slotName(test, chosen, test === 'heel-raise' ? knee : null))!;
  const send = async (file: File): Promise<void> => {
    setBusy(true);
    setFault(null);
    try {
      const made = await post<{id: string; revision?: number; session?: {person?: object}}>('/api/visits', {quick: true});
      if (mass !== null) {
        const visit = await get<{revision: number; session: {person: object}}>(`/api/visits/${made.id}`);
        await import('../kit/api').then(api => api.patch(`/api/visits/${made.id}`, {revision: visit.revision, session: {person: {...visit.session.person, mass_kg: mass}}}));
      }
      void sendTo(made.id, slot.slot, file);
      go('quick', made.id);
    } catch (error) {
      setFault(asFault(error));
    }
    setBusy(false);
  };
  const drop = useDrop(file => void send(file));
  const sides: Side[] = test === 'hop' ? ['left', 'right', 'both'] : ['left', 'right'];
  return (
    <>
      <div class="page-head"><Heading level={1}>{t('quick.title')}</Heading></div>
      <div class="test-grid">
        <section class="sheet" aria-label={t('test.setup')}><details class="fold bare" open={wide()}><summary>{t('test.setup')}</summary><div class="fold-body"><Setup slot={slot} /></div></details><BeatBox slot={slot} /></section>
        <div class="column">
          <section class="sheet" aria-labelledby="first"><Heading id="first">{t('quick.first')}</Heading><p>{t('quick.first-text')}</p>
            <Fold title={t('quick.questions')}><ul>{questions.value.map(one => <li key={one.key}>{said(`caution.${one.key}.question`)} <span class="soft">{said(`means.${one.means}`)}</span></li>)}</ul></Fold></section>
          <section class="sheet" aria-labelledby="what"><Heading id="what">{t('quick.what')}</Heading>
            <Choice legend={t('quick.test')} value={test} onValue={setTest} options={(['heel-raise', 'hop', 'lunge'] as const).map(value => ({value, label: t(`test.${value}`)}))} />
            <Choice legend={t('quick.side')} value={chosen} onValue={setSide} options={sides.map(value => ({value, label: t(`side.${value}`)}))} />
            {test === 'heel-raise' ? <Choice legend={t('quick.knee')} value={knee} onValue={setKnee} options={(['straight', 'bent'] as const).map(value => ({value, label: said(`knee.${value}`)}))} /> : null}
            {test === 'lunge' ? null : <NumberField label={t('person.mass')} unit="kg" least={10} most={400} value={mass} onValue={setMass} hint={t('person.mass-hint')} />}
          </section>
          <section class="sheet" aria-labelledby="clip"><Heading id="clip">{t('test.clip')}</Heading>
            <div class={`drop ${drop.over ? 'over' : ''}`} {...drop.handlers}><p>{t('clip.drop')}</p><PickButton label={busy ? t('loading') : t('clip.choose')} take={file => void send(file)} /></div>
            <FaultBox fault={fault} />
            <p class="hint">{t('quick.gone')}</p>
          </section>
        </div>
      </div>
    </>
  );
}

function QuickResult({id}: {id: string}) {
  const store = useVisit(id);
  const visit = store.view.value;
  const [keeping, setKeeping] = useState(false);
  useEffect(() => scrollTo(0, 0), []);
  if (!visit) return store.fault.value ? <><FaultBox fault={store.fault.value} /><Link href={to('quick')}>{t('quick.title')}</Link></> : <Loading />;
  const name = Object.keys(visit.tests).find(key => visit.tests[key]!.state !== 'empty');
  const slot = name ? slotOf(name) : null;
  const test = name ? visit.tests[name]! : null;
  const close = (): void => {
    del(`/api/visits/${id}`).finally(() => go('quick'));
  };
  return (
    <>
      <div class="page-head">
        <Heading level={1}>{slot ? <><SideMark side={slot.side} /> {said(testKey(slot))}, {t(`side.${slot.side}`).toLowerCase()}</> : t('quick.title')}</Heading>
        <div class="actions"><Button onClick={() => setKeeping(true)}>{t('quick.keep')}</Button><Button onClick={close}>{t('quick.close')}</Button></div>
      </div>
      {keeping ? <QuickKeep id={id} onClose={() => setKeeping(false)} store={store} /> : null}
      <div class="column">
        {slot && test && test.state === 'measured' ? (
          <div class="quick-grid">
            <section class="sheet" aria-labelledby="result"><Heading id="result">{t('test.result')}</Heading><ResultView visit={id} slot={slot.slot} test={test} /></section>
            <section class="sheet" aria-labelledby="video"><Heading id="video">{t('quick.video')}</Heading>
              <video controls preload="metadata" src={fileOf(id, slot.slot, 'overlay.mp4')}>{t('quick.no-video')}</video>
              <Link kind="plain" href={fileOf(id, slot.slot, 'overlay.mp4')} download={`${slot.slot}.mp4`}>{t('quick.video-save')}</Link></section>
          </div>
        ) : null}
        {slot && test && isBusy(test) ? <section class="sheet"><ClipProgress visit={id} slot={slot.slot} test={test} /></section> : null}
        {slot && test && !isBusy(test) ? <ClipSection store={store} id={id} name={slot.slot} test={test} /> : null}
        {slot ? null : <QuickWaiting id={id} />}
        <p class="hint">{t('quick.gone')}</p>
      </div>
    </>
  );
}

// Between choosing a file and the server's first word of it.
function QuickWaiting({id}: {id: string}) {
  const names = ['heel-raise-left-straight', 'heel-raise-right-straight', 'heel-raise-left-bent', 'heel-raise-right-bent', 'hop-left', 'hop-right', 'hop-both', 'lunge-left', 'lunge-right'];
  return <section class="sheet">{names.map(name => <ClipProgress key={name} visit={id} slot={name} test={{state: 'empty'}} />)}</section>;
}

function QuickKeep({id, onClose, store}: {id: string; onClose: () => void; store: ReturnType<typeof useVisit>}) {
  const [code, setCode] = useState('');
  const [fault, setFault] = useState<Fault | null>(null);
  const [done, setDone] = useState(false);
  const keep = async (): Promise<void> => {
    setFault(null);
    try {
      store.edit(['session', 'person', 'code'], code);
      if (!(await store.flush())) return setFault(store.saveFault.value);
      await post(`/api/visits/${id}/keep`, {});
      setDone(true);
    } catch (error) {
      setFault(asFault(error));
    }
  };
  return (
    <section class="sheet" aria-label={t('quick.keep')}>
      {done ? <Notice tone="good" live><p>{t('keep.kept')} <Link href={to('people', code)}>{t('keep.to-person', {code})}</Link></p></Notice> : (
        <>
          <TextField label={t('person.code')} hint={t('start.code-hint')} value={code} onInput={setCode} />
          <FaultBox fault={fault} />
          <div class="actions"><Button kind="main" disabled={!code.trim()} onClick={() => void keep()}>{t('keep.do')}</Button><Button onClick={onClose}>{t('cancel')}</Button></div>
        </>
      )}
    </section>
  );
}
