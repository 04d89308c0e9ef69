// What is typed in beside a test: numbers, pain, how it was done.
import type {TestState, VisitStore} from '../kit/store';
import type {Slot} from '../kit/slots';
import {painStop} from '../kit/about';
import {CheckField, Notice, NumberField, TextField} from '../kit/parts';
import {num, said, t} from '../kit/words';
import {byHandBounds, byHandKeys, quantityDecimals, quantityUnit} from './result_numbers';

interface Props {store: VisitStore; slot: Slot; test: TestState}

export function ByHand({store, slot, test, keys}: Props & {keys?: string[]}) {
  return (
    <div class="pair">
      {(keys ?? byHandKeys[slot.test]).map(key => {
        const [least, most] = byHandBounds(key);
        return <NumberField key={key} label={said(`quantity.${key}`)} unit={quantityUnit(key)} least={least} most={most} decimals={quantityDecimals(key) || (quantityUnit(key) === '°' ? 1 : 0)}
                            value={test.by_hand?.[key]} onValue={value => store.edit(['tests', slot.slot, 'by_hand', key], value)} />;
      })}
    </div>
  );
}

export function Pain({store, slot, test}: Props) {
  const limit = painStop.value;
  const over = limit !== null && (test.pain?.worst ?? 0) > limit;
  return (
    <>
      <div class="pains">
        {(['before', 'worst', 'after'] as const).map(when => (
          <NumberField key={when} label={t(`pain.${when}`)} least={0} most={10} decimals={0} value={test.pain?.[when]}
                       onValue={value => store.edit(['tests', slot.slot, 'pain', when], value)} />
        ))}
      </div>
      {over ? <Notice tone="bad"><p role="alert"><strong>{t('pain.over', {limit: num(limit)})}</strong></p><p>{said('caution.stop', {limit: num(limit)})}</p></Notice> : null}
    </>
  );
}

export const painText = (test: TestState): string => {
  const pain = test.pain;
  if (!pain || [pain.before, pain.worst, pain.after].every(one => one === null || one === undefined)) return '';
  return [pain.before, pain.worst, pain.after].map(one => num(one)).join(' / ');
};

export const HowDone = ({store, slot, test}: Props) => (
  <>
    <div class="pair">
      <NumberField label={t('test.incline')} unit="°" least={-20} most={20} value={test.incline_deg} onValue={value => store.edit(['tests', slot.slot, 'incline_deg'], value)} />
      {slot.test === 'lunge' ? null : <TextField label={t('test.marker')} value={test.marker ?? ''} hint={t('test.marker-hint')} maxLength={40}
                                                onInput={value => store.edit(['tests', slot.slot, 'marker'], value || null)} />}
    </div>
    <TextField label={t('test.remark')} value={test.remark ?? ''} onInput={value => store.edit(['tests', slot.slot, 'remark'], value || null)} />
    <CheckField label={t('test.keep-clip')} hint={t('test.keep-clip-hint')} checked={test.keep_clip === true}
                onValue={value => store.edit(['tests', slot.slot, 'keep_clip'], value || null)} />
  </>
);
