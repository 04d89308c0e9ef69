// A yes that calls for referral stands wherever a test could be begun.
import {questions} from '../kit/about';
import type {Visit} from '../kit/store';
import {Notice} from '../kit/parts';
import {said} from '../kit/words';

export const referring = (visit: Visit) =>
  questions.value.filter(one => (one.means === 'refer' || one.means === 'refer-same-day') && visit.session.cautions?.[one.key] === 'yes');

export function Refer({visit}: {visit: Visit}) {
  const yes = referring(visit);
  if (!yes.length) return null;
  return <Notice tone="bad">{yes.map(one => <p key={one.key}><strong>{said(`means.${one.means}`)}.</strong> {said(`caution.${one.key}.action`)}</p>)}</Notice>;
}
