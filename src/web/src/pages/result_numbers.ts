// Which of a result's numbers are shown, and how: plain look-ups in result.json; nothing is worked out here.
import type {Result, HeelRaise, Hop, Lunge} from '../types/result';
import type {Test} from '../kit/slots';
import {quantity} from '../kit/about';
import {num, numU, said, t} from '../kit/words';

export interface Shown {label: string; value: string; unit: string; note?: string; main?: boolean}

const decimalsOf = (key: string, other: number): number => quantity(key)?.decimals ?? other;
const one = (label: string, value: number | null | undefined, u: number | null | undefined, decimals: number, unit: string, note?: string): Shown[] =>
  value === null || value === undefined ? [] : [{label, value: numU(value, u, decimals), unit, note}];
const q = (key: string): string => said(`quantity.${key}`);

// A person corrected it: where it was measured here, or in the record.
export const isCorrected = (result: {corrections?: unknown[] | null; notes: {code: string}[]}): boolean =>
  Boolean(result.corrections?.length) || result.notes.some(note => note.code === 'corrected-by-hand');

// Where work or stiffness was reckoned with another body mass than the visit has now. Empty: it was not. `mass` undefined: nobody's.
export function massWords(result: Result, mass: number | null | undefined): string {
  if (mass === undefined || !result.asked || result.lunge) return '';
  const used = result.asked.mass_kg;
  if (used === mass || (used !== null && mass !== null && Math.abs(used - mass) < 0.05)) return '';
  const kg = (value: number): string => num(value, value % 1 ? 1 : 0);
  return used === null ? t('mass.without', {now: kg(mass!)}) : mass === null ? t('mass.no-longer', {used: kg(used)}) : t('mass.other', {used: kg(used), now: kg(mass)});
}

const ofRaise = (raise: HeelRaise, result: Result, mass: string): Shown[] => {
  const asked = result.asked && 'end_fraction' in result.asked ? result.asked : null;
  return [
    {label: q('reps'), value: num(raise.count), unit: '', main: true, note: said(`set-end.${raise.set_end.why}`)},
    ...one(t('result.reference'), raise.reference_height_cm, raise.reference_height_cm_u, 1, 'cm'),
    ...one(q('greatest_height_cm'), raise.greatest_height_cm, raise.greatest_height_cm_u, 1, 'cm'),
    ...one(q('total_height_cm'), raise.total_height_cm, raise.total_height_cm_u, 0, 'cm'),
    ...(raise.work_j === null ? [{label: q('work_j'), value: '–', unit: '', note: mass || t('result.no-mass')}] : one(q('work_j'), raise.work_j, raise.work_j_u, 0, 'J', mass || t('result.work-note'))),
    ...one(t('result.set-end'), raise.set_end.t_s, raise.set_end.t_s_u, 1, 's'),
    ...one(t('result.period'), raise.beat.rep_period_s, null, 2, 's',
           raise.beat.on_beat_share === null ? undefined : t('result.on-beat', {share: num(raise.beat.on_beat_share * 100)})),
    ...(raise.knee_deg ? one(q('knee_deg'), raise.knee_deg.mean, raise.knee_deg.mean_u, 0, '°', t('result.from-to', {least: num(raise.knee_deg.least), most: num(raise.knee_deg.greatest)})) : []),
    ...(asked ? [{label: t('result.count-at'), value: Object.values(raise.count_at).map(count => num(count)).join(' / '), unit: '',
                  note: t('result.count-at-note', {fractions: Object.keys(raise.count_at).map(key => `${num(Number(key) * 100)} %`).join(' / '),
                                                   asked: num(asked.end_fraction * 100)})}] : [])];
};

const ofHop = (hop: Hop, mass: string): Shown[] => [
  hop.contact_ms === null ? {label: t('result.hops'), value: num(hop.count), unit: '', main: true}
    : {label: q('contact_ms'), value: numU(hop.contact_ms, hop.contact_ms_u, decimalsOf('contact_ms', 0)), unit: 'ms', main: true, note: t('result.hops-counted', {n: hop.count})},
  ...one(q('lowest_kept_bpm'), hop.lowest_kept_bpm, null, 0, t('unit.per-min')),
  ...one(t('result.flight'), hop.flight_ms, null, 0, 'ms'),
  ...one(q('hop_height_cm'), hop.height_cm, null, 1, 'cm'),
  ...one(q('rsi_m_s'), hop.rsi, hop.rsi_u, 3, 'm/s'),
  ...one(q('stiffness_kn_m'), hop.stiffness_kn_m, null, 1, 'kN/m', mass || undefined)];

const ofLunge = (lunge: Lunge): Shown[] => [
  {label: q('shank_deg'), value: numU(lunge.shank_deg, lunge.shank_deg_u, 0), unit: '°', main: true, note: lunge.held ? undefined : t('result.not-held')},
  ...one(t('result.change'), lunge.change_deg, lunge.change_deg_u, 1, '°'),
  ...one(q('knee_to_wall_cm'), lunge.toe_to_wall_cm, lunge.toe_to_wall_cm_u, 1, 'cm'),
  ...one(t('result.held-for'), lunge.held_s, null, 1, 's')];

// `mass`: the visit's now; undefined: of nobody.
export function shownOf(result: Result, mass?: number | null): Shown[] {
  if (result.heel_raise) return ofRaise(result.heel_raise, result, massWords(result, mass));
  if (result.hop) return ofHop(result.hop, massWords(result, mass));
  if (result.lunge) return ofLunge(result.lunge);
  return [];
}

// What can be typed in for a test, with the bounds that the models give.
export const byHandKeys: Record<Test, string[]> = {
  'heel-raise': ['reps', 'greatest_height_cm'], hop: ['lowest_kept_bpm'], lunge: ['knee_to_wall_cm', 'shank_deg']};

const bounds: Record<string, [number, number]> = {
  reps: [0, 200], greatest_height_cm: [0.5, 25], lowest_kept_bpm: [60, 220], knee_to_wall_cm: [0, 30], shank_deg: [0, 80]};

export const byHandBounds = (key: string): [number, number] => quantity(key)?.by_hand ?? bounds[key] ?? [0, 1000];
export const quantityUnit = (key: string): string => quantity(key)?.unit ?? (key.endsWith('_cm') ? 'cm' : key.endsWith('_deg') ? '°' : key.endsWith('_bpm') ? '/min' : '');
export const quantityDecimals = (key: string): number => decimalsOf(key, key === 'reps' || key.endsWith('_bpm') || key.endsWith('_deg') ? 0 : 1);
