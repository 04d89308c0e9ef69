// One test of one side: how to set it up, the beat, the clip, what comes of it, what is typed in.
import {useState} from 'preact/hooks';
import {del, post, asFault, type Fault} from '../kit/api';
import {slotOf, testKey} from '../kit/slots';
import {useVisit} from '../kit/use';
import {to} from '../kit/router';
import {protocol} from '../kit/about';
import type {TestState, VisitStore} from '../kit/store';
import {Button, Dialog, FaultBox, Fold, Heading, Link, Loading, NumberField, SelectField, SideMark, SideName} from '../kit/parts';
import {num, said, t} from '../kit/words';
import {ClipBox, slotPath} from './clip';
import {BeatBox, beatOf} from './beat_box';
import {ByHand, HowDone, Pain} from './fields';
import {FailedBox, PointedOut} from './point_out';
import {ResultView} from './result';
import {Setup} from './setup';
import {BeforeTest} from './before_test';
import {Twin} from './twin';
import {Clashes, Saving} from './saving';

const empty: TestState = {state: 'empty'};
// On a narrow window the clip comes into sight first; how to set up is a tap away.
export const wide = (): boolean => innerWidth >= 960;

export function TestPage({visit: id, slot: name}: {visit: string; slot: string}) {
  const store = useVisit(id);
  const slot = slotOf(name);
  const visit = store.view.value;
  if (!slot) return <FaultBox fault={{code: 'no-such-test', what: t('test.none'), why: '', do: ''}} />;
  if (!visit) return store.fault.value ? <FaultBox fault={store.fault.value} retry={() => void store.fetch()} /> : <Loading />;
  const test = visit.tests[name] ?? empty;
  const others = slot.side === 'both' ? [] : [slot.side === 'left' ? 'right' : 'left'] as const;
  return (
    <>
      <div class="page-head">
        <Link href={visit.quick ? to('quick', id) : to('visit', id)}>← {visit.quick ? t('quick.title') : t('visit.of', {code: visit.session.person.code})}</Link>
        <Saving store={store} />
      </div>
      <div class="page-head">
        <Heading level={1}><SideMark side={slot.side} /> {said(testKey(slot))}, {t(`side.${slot.side}`).toLowerCase()}</Heading>
        {others.map(side => <Link key={side} href={to('visit', id, name.replace(`-${slot.side}`, `-${side}`))}>{t('test.other-side')} <SideName side={side} /></Link>)}
      </div>
      <Clashes store={store} />
      <BeforeTest visit={visit} slot={slot} />
      <div class="test-grid">
        <div class="column">
          <section class="sheet" aria-label={t('test.setup')}><details class="fold bare" open={wide()}><summary>{t('test.setup')}</summary><div class="fold-body"><Setup slot={slot} /></div></details></section>
          {beatOf(slot).length ? <section class="sheet" aria-labelledby="beat"><Heading id="beat">{t('test.beat')}</Heading><BeatBox slot={slot} /></section> : null}
        </div>
        <div class="column">
          <section class="sheet" aria-labelledby="pain"><div class="section-head"><Heading id="pain">{t('test.pain')}</Heading><span class="hint">{t('pain.hint')}</span></div><Pain store={store} slot={slot} test={test} /></section>
          <ClipSection store={store} id={id} name={name} test={test} />
          {test.state === 'measured' ? (
            <section class="sheet" aria-labelledby="result"><Heading id="result">{t('test.result')}</Heading><Twin visit={visit} name={name} /><ResultView visit={id} slot={name} test={test} mass={visit.session.person.mass_kg ?? null} /></section>
          ) : null}
          <section class="sheet" aria-labelledby="by-hand"><Heading id="by-hand">{t('test.by-hand')}</Heading>
            <p class="hint">{test.state === 'measured' ? t('test.by-hand-beside') : t('test.by-hand-hint')}</p><ByHand store={store} slot={slot} test={test} /></section>
          <section class="sheet" aria-labelledby="how"><Heading id="how">{t('test.how')}</Heading><HowDone store={store} slot={slot} test={test} /></section>
        </div>
      </div>
    </>
  );
}

export function ClipSection({store, id, name, test}: {store: VisitStore; id: string; name: string; test: TestState}) {
  const [forgetting, setForgetting] = useState(false);
  const slot = slotOf(name)!;
  const [fault, setFault] = useState<Fault | null>(null);
  const forget = (): void => {
    del(slotPath(id, name)).then(() => {
      setForgetting(false);
      void store.fetch();
    }).catch(error => setFault(asFault(error)));
  };
  return (
    <section class="sheet" aria-labelledby="clip">
      <div class="section-head"><Heading id="clip">{t('test.clip')}</Heading>
        {test.clip_name ? <Button kind="quiet" onClick={() => setForgetting(true)}>{t('clip.forget')}</Button> : null}</div>
      {test.state === 'failed' ? <FailedBox id={id} slot={slot} test={test} store={store} /> : null}
      <ClipBox visit={id} slot={name} test={test} store={store} />
      {test.clip_name ? <Fold title={t('options.title')} open={test.state === 'failed' && test.error?.code === 'option-wrong'}><Options key={JSON.stringify(test.options ?? {})} id={id} name={name} test={test} store={store} /></Fold> : null}
      {forgetting ? (
        <Dialog title={t('clip.forget-title')} onClose={() => setForgetting(false)}>
          <p>{t('clip.forget-text')}</p><FaultBox fault={fault} />
          <div class="actions"><Button kind="danger" onClick={forget}>{t('clip.forget')}</Button><Button onClick={() => setForgetting(false)}>{t('cancel')}</Button></div>
        </Dialog>
      ) : null}
    </section>
  );
}

type Made = Record<string, unknown>;

// How a clip is to be measured where the ordinary way does not fit.
function Options({id, name, test, store}: {id: string; name: string; test: TestState; store: VisitStore}) {
  const [made, setMade] = useState<Made>(test.options ?? {});
  const [fault, setFault] = useState<Fault | null>(null);
  const slot = slotOf(name)!;
  const number = (key: string): number | null => (typeof made[key] === 'number' ? (made[key] as number) : null);
  const set = (key: string, value: unknown): void => {
    const next = {...made};
    if (value === null || value === '') delete next[key];
    else next[key] = value;
    setMade(next);
  };
  const measure = (): void => {
    post(`${slotPath(id, name)}/measure`, {options: made}).then(() => store.fetch()).catch(error => setFault(asFault(error)));
  };
  const fraction = protocol('heel_raise', 'end_fraction');
  return (
    <>
      <PointedOut slot={slot} made={made} onTakeOut={option => set(option, null)} />
      <SelectField label={t('options.card')} value={String(made.card ?? 'tags')} onValue={value => set('card', value === 'tags' ? null : value)}
                   options={(['tags', 'id-1', 'none'] as const).map(value => ({value, label: said(`scale.${value}`)}))} />
      <div class="pair">
        <NumberField label={t('options.distance')} unit="m" least={0.3} most={20} value={number('distance_m')} onValue={value => set('distance_m', value)} />
        <NumberField label={t('options.card-offset')} unit="cm" least={-50} most={50} value={number('card_offset_cm')} onValue={value => set('card_offset_cm', value)} hint={t('options.card-offset-hint')} />
        <NumberField label={t('options.capture-fps')} unit="/s" least={10} most={1000} value={number('capture_fps')} onValue={value => set('capture_fps', value)} hint={t('options.capture-fps-hint')} />
        {slot.test === 'heel-raise' ? <NumberField label={t('options.end-fraction')} least={0.3} most={1} decimals={2} value={number('end_fraction')}
                                                   hint={fraction ? t('options.end-fraction-hint', {value: num(fraction, 2)}) : undefined} onValue={value => set('end_fraction', value)} /> : null}
        {slot.test === 'hop' ? <NumberField label={t('options.beat')} unit="/min" least={30} most={240} value={number('beat_bpm')} onValue={value => set('beat_bpm', value)} hint={t('options.beat-hint')} /> : null}
      </div>
      <FaultBox fault={fault} />
      <div class="actions"><Button onClick={measure}>{t('options.measure')}</Button></div>
    </>
  );
}
