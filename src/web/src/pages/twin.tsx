// One clip sent for two tests: most often the same side twice.
import type {TestState, Visit} from '../kit/store';
import {slotOf, testKey} from '../kit/slots';
import {useResult} from '../kit/use';
import {Notice} from '../kit/parts';
import {said, t} from '../kit/words';

const hashOf = (visit: string, name: string, test: TestState | undefined): string | null =>
  useResult(visit, name, test?.state === 'measured', test?.measured_at ?? '').value?.clip.sha256 ?? null;

export const testWords = (name: string): string => {
  const slot = slotOf(name)!;
  return `${said(testKey(slot))}, ${t(`side.${slot.side}`).toLowerCase()}`;
};

export function Twin({visit, name}: {visit: Visit; name: string}) {
  const own = hashOf(visit.id, name, visit.tests[name]);
  const twins = Object.keys(visit.tests).filter(other => other !== name && slotOf(other) && hashOf(visit.id, other, visit.tests[other]) === own && own);
  if (!own || !twins.length) return null;
  const file = visit.tests[name]?.clip_name;
  return <Notice tone="care" live><p><strong>{t('twin.what', {test: twins.map(testWords).join('; ')})}</strong>{file ? ` (${file})` : ''} {t('twin.do')}</p></Notice>;
}
