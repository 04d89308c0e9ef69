// Somebody alone: one clip, one result, nothing kept unless it is asked for.
import {useEffect, useState} from 'preact/hooks';
import {del, get, patch, post, asFault, type Fault} from '../kit/api';
import {go, to} from '../kit/router';
import {everySlot, slotName, slotOf, testKey, type Side, type Slot, type Test} from '../kit/slots';
import type {TestState, Visit} from '../kit/store';
import {sendingOf, sendings} from '../kit/upload';
import {fileOf, useVisit} from '../kit/use';
import {Button, Choice, Dialog, FaultBox, Fold, Heading, Link, Loading, NumberField, SideMark, TextField} from '../kit/parts';
import {said, t} from '../kit/words';
import {sendTo, slotPath, useArrival, useDrop, PickButton, ClipProgress} from './clip';
import {BeatBox, beatOf} from './beat_box';
import {ResultView} from './result';
import {Setup} from './setup';
import {ClipSection, wide} from './test';
import {First} from './before_test';
import {codeForm, dateFault, today} from './dates';

export const QuickPage = ({visit}: {visit: string}) => (visit ? <QuickResult id={visit} /> : <QuickStart />);

interface What {test: Test; side: Side; knee: 'straight' | 'bent'}
const slotFor = ({test, side, knee}: What): Slot =>
  slotOf(slotName(test, test !== 'hop' && side === 'both' ? 'left' : side, test === 'heel-raise' ? knee : null))!;

function Which({what, onWhat}: {what: What; onWhat: (what: What) => void}) {
  const sides: Side[] = what.test === 'hop' ? ['left', 'right', 'both'] : ['left', 'right'];
  return (
    <>
      <Choice legend={t('quick.test')} value={what.test} onValue={test => onWhat({...what, test})} options={(['heel-raise', 'hop', 'lunge'] as const).map(value => ({value, label: t(`test.${value}`)}))} />
      <Choice legend={t('quick.side')} value={slotFor(what).side} onValue={side => onWhat({...what, side})} options={sides.map(value => ({value, label: t(`side.${value}`)}))} />
      {what.test === 'heel-raise' ? <Choice legend={t('quick.knee')} value={what.knee} onValue={knee => onWhat({...what, knee})} options={(['straight', 'bent'] as const).map(value => ({value, label: said(`knee.${value}`)}))} /> : null}
    </>
  );
}

// `id`: a visit that was begun for this and nothing came of yet.
function QuickStart({id}: {id?: string}) {
  const [what, setWhat] = useState<What>({test: 'heel-raise', side: 'left', knee: 'straight'});
  const [mass, setMass] = useState<number | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const [busy, setBusy] = useState(false);
  const slot = slotFor(what);
  const {test} = what;
  const begin = async (then: (visit: string) => void): Promise<void> => {
    setBusy(true);
    setFault(null);
    try {
      const made = id ?? (await post<{id: string}>('/api/visits', {quick: true})).id;
      if (mass !== null) {
        const visit = await get<{revision: number; session: {person: object}}>(`/api/visits/${made}`);
        await patch(`/api/visits/${made}`, {revision: visit.revision, session: {person: {...visit.session.person, mass_kg: mass}}});
      }
      then(made);
    } catch (error) {
      setFault(asFault(error));
    }
    setBusy(false);
  };
  const send = (file: File): Promise<void> => begin(visit => {
    void sendTo(visit, slot.slot, file);
    go('quick', visit);
  });
  const drop = useDrop(file => void send(file));
  return (
    <>
      <div class="page-head"><Heading level={1}>{t('quick.title')}</Heading><span class="soft">{t('quick.lead')}</span></div>
      <First />
      <div class="test-grid turned">
        <div class="column">
          <section class="sheet" aria-labelledby="what"><Heading id="what">{t('quick.which')}</Heading>
            <Which what={what} onWhat={setWhat} />
            {test === 'lunge' ? null : <NumberField label={t('person.mass')} unit="kg" least={10} most={400} value={mass} onValue={setMass} hint={t('person.mass-hint')} />}
          </section>
          <section class="sheet" aria-labelledby="clip"><Heading id="clip">{t('quick.clip-or')}</Heading>
            {test === 'heel-raise' ? <><Button kind="main" busy={busy} onClick={() => void begin(visit => go('quick', visit, slot.slot, 'live'))}>{t('clip.live')}</Button><p class="hint">{t('quick.live-hint')}</p></> : null}
            <div class={`drop ${drop.over ? 'over' : ''}`} {...drop.handlers}><p>{t('clip.drop')}</p><PickButton kind={test === 'heel-raise' ? 'plain' : 'main'} label={busy ? t('loading') : t('clip.choose')} take={file => void send(file)} /></div>
            <FaultBox fault={fault} />
            <p class="hint">{t('quick.gone')}</p>
          </section>
        </div>
        <div class="column">
          {beatOf(slot).length ? <section class="sheet" aria-labelledby="beat"><Heading id="beat">{t('test.beat')}</Heading><BeatBox slot={slot} /></section> : null}
          <section class="sheet" aria-label={t('test.setup')}><details class="fold bare" open={wide()}><summary>{t('test.setup')}</summary><div class="fold-body"><Setup slot={slot} /></div></details></section>
        </div>
      </div>
    </>
  );
}

// The test whose clip is on its way from this window, before the server's first word of it.
const onItsWay = (id: string) => everySlot.find(slot => sendingOf(`${id}/${slot.slot}`).value);

function QuickResult({id}: {id: string}) {
  const store = useVisit(id);
  const visit = store.view.value;
  useEffect(() => scrollTo(0, 0), []);
  sendings.value;
  if (!visit) return store.fault.value ? <><FaultBox fault={store.fault.value} /><Link href={to('quick')}>{t('quick.back')}</Link></> : <Loading />;
  const name = Object.keys(visit.tests).find(key => visit.tests[key]!.state !== 'empty') ?? onItsWay(id)?.slot;
  const slot = name ? slotOf(name) : null;
  if (!slot) return <QuickStart id={id} />;
  return <QuickTest key={slot.slot} store={store} visit={visit} slot={slot} test={visit.tests[slot.slot] ?? {state: 'empty'}} />;
}

function QuickTest({store, visit: {id, session}, slot, test}: {store: ReturnType<typeof useVisit>; visit: Visit; slot: Slot; test: TestState}) {
  const [keeping, setKeeping] = useState(false);
  const arrival = useArrival(id, slot.slot, test);
  const close = (): void => {
    del(`/api/visits/${id}`).finally(() => go('quick'));
  };
  const busy = arrival.busy || (test.state === 'empty' && !arrival.broken && sendingOf(`${id}/${slot.slot}`).value?.state !== 'failed');
  return (
    <>
      <div class="page-head">
        <Heading level={1}><SideMark side={slot.side} /> {said(testKey(slot))}, {t(`side.${slot.side}`).toLowerCase()}</Heading>
        <div class="actions end">{test.state === 'measured' ? <Button onClick={() => setKeeping(true)}>{t('quick.keep')}</Button> : null}<Button onClick={close}>{t('quick.close')}</Button></div>
      </div>
      {keeping ? <QuickKeep id={id} date={session.date} onClose={() => setKeeping(false)} /> : null}
      <div class="column">
        {test.state === 'measured' ? (
          <div class="quick-grid">
            <section class="sheet" aria-labelledby="result"><Heading id="result">{t('test.result')}</Heading><ResultView visit={id} slot={slot.slot} test={test} mass={session.person.mass_kg ?? null} /></section>
            <section class="sheet" aria-labelledby="video"><Heading id="video">{t('quick.video')}</Heading>
              <video controls preload="metadata" src={fileOf(id, slot.slot, 'overlay.mp4')}>{t('quick.no-video')}</video>
              <Link kind="plain" href={fileOf(id, slot.slot, 'overlay.mp4')} download={`${slot.slot}.mp4`}>{t('quick.video-save')}</Link></section>
          </div>
        ) : null}
        {busy ? <section class="sheet" aria-labelledby="clip"><Heading id="clip">{t('test.clip')}</Heading><ClipProgress visit={id} slot={slot.slot} test={test} /></section>
          : <ClipSection store={store} id={id} name={slot.slot} test={test} />}
        {test.has_clip ? <MeasureAs id={id} slot={slot} test={test} store={store} /> : null}
        <p class="hint">{t('quick.gone')}</p>
      </div>
    </>
  );
}

// The clip was of another test, side or knee than was said.
function MeasureAs({id, slot, test, store}: {id: string; slot: Slot; test: TestState; store: ReturnType<typeof useVisit>}) {
  const [what, setWhat] = useState<What>({test: slot.test, side: slot.side, knee: slot.knee ?? 'straight'});
  const [fault, setFault] = useState<Fault | null>(null);
  const [busy, setBusy] = useState(false);
  const to_slot = slotFor(what).slot;
  const measure = (): void => {
    setBusy(true);
    setFault(null);
    post(`${slotPath(id, slot.slot)}/measure-as`, {to: to_slot}).then(() => store.fetch()).catch(error => setFault(asFault(error))).finally(() => setBusy(false));
  };
  return (
    <section class="sheet" aria-label={t('quick.as')}>
      <Fold title={t('quick.as')} open={test.state === 'failed' && ['no-movement', 'no-hop', 'no-lunge'].includes(test.error?.code ?? '')}>
        <p class="hint">{t('quick.as-hint')}</p>
        <Which what={what} onWhat={setWhat} />
        <FaultBox fault={fault} />
        <div class="actions"><Button kind="main" busy={busy} disabled={to_slot === slot.slot} onClick={measure}>{t('quick.as-do')}</Button></div>
      </Fold>
    </section>
  );
}

// It becomes an open visit of somebody: the questions are asked there, then it is kept.
function QuickKeep({id, date: filmed, onClose}: {id: string; date: string; onClose: () => void}) {
  const [code, setCode] = useState('');
  const [date, setDate] = useState(filmed || today());
  const [fault, setFault] = useState<Fault | null>(null);
  const [busy, setBusy] = useState(false);
  const [tried, setTried] = useState(false);
  const wrongCode = (code !== '' || tried) && !codeForm.test(code) ? t('start.code-form') : '';
  const wrongDate = dateFault(date);
  const name = async (): Promise<void> => {
    setTried(true);
    setFault(null);
    if (!codeForm.test(code) || wrongDate) return;
    setBusy(true);
    try {
      const {id: named} = await post<{id: string}>(`/api/visits/${id}/name`, {code, date});
      go('visit', named);
    } catch (error) {
      setFault(asFault(error));
    }
    setBusy(false);
  };
  return (
    <Dialog title={t('quick.keep')} onClose={onClose}>
      <p>{t('quick.keep-text')}</p>
      <TextField label={t('person.code')} hint={t('start.code-hint')} value={code} onInput={setCode} error={wrongCode} />
      <TextField label={t('visit.date')} type="date" value={date} onInput={setDate} error={wrongDate} />
      <FaultBox fault={fault} />
      <div class="actions"><Button kind="main" busy={busy} onClick={() => void name()}>{t('quick.keep-do')}</Button><Button onClick={onClose}>{t('cancel')}</Button></div>
    </Dialog>
  );
}
