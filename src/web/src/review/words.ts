// Corrections and events in words.
import {num, t} from '../kit/words';
import type {Clock, Draft, Event} from './model';

export const eventName = (event: Event): string =>
  event.of === null ? t('review.set-end') : t(event.which === 'touchdown' || event.which === 'takeoff' ? 'review.event-hop' : 'review.event-rep', {which: t(`review.${event.which}`), n: event.n});

const seconds = (value: unknown): string => `${num(Number(value), 2)} s`;

// What a correction does, without its reason.
export function inWords(draft: Draft, clock: Clock): string {
  const after = draft.after ?? {};
  const which = draft.rep ? t('review.rep-at', {t: num(draft.rep.peak_s, 2)}) : draft.hop ? t('review.hop-at', {frame: draft.hop.touchdown_frame}) : '';
  const list = Object.entries(after).filter(([, value]) => value !== null).map(([field, value]) => {
    const name = field.replace(/_(s|frame)$/, '');
    return `${t(`review.${name}` as 'review.start')} ${field.endsWith('_s') ? seconds(value) : `${num(Number(value))} (${seconds(clock.timeOf(Number(value)))})`}`;
  });
  switch (draft.what) {
    case 'take-out': return t('review.did-take-out', {which});
    case 'no-landing': return t('review.did-no-landing', {which});
    case 'put-in': return t('review.did-put-in', {what: list.join(', ')});
    case 'move': return t('review.did-move', {which, what: list.join(', ')});
    case 'set-end': return t('review.did-set-end', {t: num(Number(after.t_s), 2)});
    case 'heel': case 'forefoot': return t(`review.did-${draft.what}`, {x: num(Number(after.x_px)), y: num(Number(after.y_px))});
    case 'scale': return t('review.did-scale', {cm: num(Number(after.length_cm), 1)});
    case 'beat': return t('review.did-beat', {value: num(Number(after.bpm))});
    case 'end-fraction': return t('review.did-end-fraction', {value: num(100 * Number(after.end_fraction))});
    case 'end-after': return t('review.did-end-after', {value: num(Number(after.end_after))});
    default: return t('review.did-reference-reps', {value: num(Number(after.reference_reps))});
  }
}
