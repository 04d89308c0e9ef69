// A person who was here before: what was written down then is offered, not taken over unasked. Body mass changes and is asked anew.
import {useEffect, useState} from 'preact/hooks';
import {get} from '../kit/api';
import type {Visit, VisitStore} from '../kit/store';
import type {Session} from '../types/session';
import {Button, Notice} from '../kit/parts';
import {day, num, t, type Key} from '../kit/words';

const keys = ['sex', 'birth_year', 'height_cm', 'sport', 'affected_side'] as const;
type Facts = Partial<Session['person']>;
interface Known {date: string; facts: Facts}

const isThere = (value: unknown): boolean => value !== null && value !== undefined && value !== '';

async function lastOf(code: string, date: string): Promise<Known | null> {
  const people = await get<{code: string}[]>('/api/people');
  if (!people.some(one => one.code === code)) return null;
  const path = `/api/people/${encodeURIComponent(code)}`;
  const {visits} = await get<{visits: {date: string}[]}>(path);
  const last = visits.map(one => one.date).filter(one => one < date).sort().at(-1);
  if (!last) return null;
  const session = await get<Session>(`${path}/visits/${last}/session.json`);
  const facts: Facts = Object.fromEntries(keys.filter(key => isThere(session.person[key])).map(key => [key, session.person[key]]));
  return Object.keys(facts).length ? {date: last, facts} : null;
}

const words = ({sex, birth_year, height_cm, sport, affected_side}: Facts): string =>
  [sex && t(`person.${sex}` as Key), birth_year && t('known.born', {year: birth_year}), height_cm && `${num(height_cm, height_cm % 1 ? 1 : 0)} cm`, sport,
   affected_side && t('known.affected', {side: t(`affected.${affected_side}` as Key)})].filter(Boolean).join(', ');

export function KnownFacts({store, visit}: {store: VisitStore; visit: Visit}) {
  const {person, date} = visit.session;
  const missing = keys.filter(key => !isThere(person[key]));
  const [known, setKnown] = useState<Known | null>(null);
  useEffect(() => {
    let gone = false;
    if (missing.length) lastOf(person.code, date).then(found => !gone && setKnown(found)).catch(() => undefined);
    return () => {
      gone = true;
    };
  }, [person.code, date]);
  const offered = known ? missing.filter(key => isThere(known.facts[key])) : [];
  if (!known || !offered.length) return null;
  return (
    <Notice>
      <p>{t('known.facts', {date: day(known.date), facts: words(known.facts)})}</p>
      <Button onClick={() => offered.forEach(key => store.edit(['session', 'person', key], known.facts[key]))}>{t('known.take')}</Button>
    </Notice>
  );
}
