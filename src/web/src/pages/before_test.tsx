// What stands wherever a test could be begun: cautions come before any test.
import {questions} from '../kit/about';
import type {Slot, Test} from '../kit/slots';
import type {Visit} from '../kit/store';
import {Link, Notice} from '../kit/parts';
import {to} from '../kit/router';
import {said, t} from '../kit/words';

const isYes = (visit: Visit, key: string): boolean => visit.session.cautions?.[key] === 'yes';

export const referring = (visit: Visit) =>
  questions.value.filter(one => (one.means === 'refer' || one.means === 'refer-same-day') && isYes(visit, one.key));

// A bone stress injury is referred, and hops above all are not done.
const noHops = (visit: Visit): boolean => questions.value.some(one => (one.means === 'no-hops' || one.key === 'bone-stress') && isYes(visit, one.key));

export const unanswered = (visit: Visit): number => questions.value.filter(one => !['yes', 'no'].includes(visit.session.cautions?.[one.key] ?? '')).length;

export function Refer({visit}: {visit: Visit}) {
  const yes = referring(visit);
  if (!yes.length) return null;
  return <Notice tone="bad">{yes.map(one => <p key={one.key}><strong>{said(`means.${one.means}`)}.</strong> {said(`caution.${one.key}.action`)}</p>)}</Notice>;
}

export function NoHops({visit, test}: {visit: Visit; test: Test}) {
  if (test !== 'hop' || !noHops(visit)) return null;
  return <Notice tone="bad"><p><strong>{said('means.no-hops')}.</strong> {said('caution.bone-stress.action')}</p></Notice>;
}

// For somebody alone: the program asks nobody there, so it is said.
export function First() {
  return (
    <section class="notice care first" aria-labelledby="first"><h2 id="first">{t('quick.first')}</h2><p>{t('quick.first-text')}</p>
      <details><summary>{t('quick.questions')}</summary><ul>{questions.value.map(one => <li key={one.key}>{said(`caution.${one.key}.question`)} <span class="soft">{said(`means.${one.means}`)}</span></li>)}</ul></details></section>
  );
}

export function BeforeTest({visit, slot}: {visit: Visit; slot: Slot}) {
  if (visit.quick) return <First />;
  const open = unanswered(visit);
  return (
    <div class="before-test">
      <Refer visit={visit} />
      <NoHops visit={visit} test={slot.test} />
      {open ? <Notice tone="care"><p><strong>{said('caution.heading')}:</strong> {t('cautions.open', {n: open})}. <Link href={to('visit', visit.id)}>{t('cautions.ask-first')}</Link></p></Notice> : null}
    </div>
  );
}
