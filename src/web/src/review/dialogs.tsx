// Who and why: asked of every correction. And the rules, with the count that they would give.
import {useEffect, useState} from 'preact/hooks';
import {Button, Dialog, Field, NumberField, TextField} from '../kit/parts';
import {num, t} from '../kit/words';
import type {Counted, Draft} from './model';

interface WhyProps {text: string; by: string; onBy: (by: string) => void; onClose: () => void; onDone: (why: string) => void}

export function WhyDialog({text, by, onBy, onClose, onDone}: WhyProps) {
  const [why, setWhy] = useState('');
  const [asked, setAsked] = useState(false);
  const done = (event: SubmitEvent): void => {
    event.preventDefault();
    setAsked(true);
    if (by.trim() && why.trim()) onDone(why.trim());
  };
  return (
    <Dialog title={t('review.why-title')} onClose={onClose}>
      <p>{text}</p>
      <form class="dialog-form" onSubmit={done as never}>
        <Field label={t('review.why')} error={asked && !why.trim() ? t('review.why-needed') : undefined}>
          {(id, described) => <input id={id} type="text" value={why} maxLength={400} autofocus aria-describedby={described} onInput={event => setWhy(event.currentTarget.value)} />}
        </Field>
        <TextField label={t('review.by')} value={by} maxLength={80} onInput={onBy} hint={t('review.by-hint')} error={asked && !by.trim() ? t('review.by-needed') : undefined} />
        <div class="actions"><Button kind="main" type="submit">{t('review.add')}</Button><Button onClick={onClose}>{t('cancel')}</Button></div>
      </form>
    </Dialog>
  );
}

interface LengthProps {onClose: () => void; onDone: (length: number, u: number | null) => void; px: number}
export function LengthDialog({onClose, onDone, px}: LengthProps) {
  const [length, setLength] = useState<number | null>(null);
  const [u, setU] = useState<number | null>(null);
  return (
    <Dialog title={t('review.length-title')} onClose={onClose}>
      <p>{t('review.length-text', {px: num(px)})}</p>
      <div class="pair">
        <NumberField label={t('review.length')} unit="cm" least={0.5} most={500} decimals={2} value={length} onValue={setLength} />
        <NumberField label={t('review.length-u')} unit="cm" least={0} most={50} decimals={2} value={u} onValue={setU} hint={t('review.length-u-hint')} />
      </div>
      <div class="actions"><Button kind="main" disabled={length === null} onClick={() => length !== null && onDone(length, u)}>{t('review.go-on')}</Button><Button onClick={onClose}>{t('cancel')}</Button></div>
    </Dialog>
  );
}

type Rule = 'end-fraction' | 'end-after' | 'reference-reps' | 'beat';
const bounds: Record<Rule, {least: number; most: number; decimals: number; unit?: string; field: string; setting: string}> = {
  'end-fraction': {least: 0.05, most: 1, decimals: 2, field: 'end_fraction', setting: 'end_fraction'},
  'end-after': {least: 1, most: 100, decimals: 0, field: 'end_after', setting: 'end_after'},
  'reference-reps': {least: 1, most: 100, decimals: 0, field: 'reference_reps', setting: 'reference_reps'},
  beat: {least: 10, most: 300, decimals: 0, unit: '/min', field: 'bpm', setting: 'beat_bpm'}};

interface RulesProps {hops: boolean; now: Record<string, number | null>; ask: (settings: Record<string, number>) => Promise<Counted | null>; onDraft: (draft: Draft) => void}
export function Rules({hops, now, ask, onDraft}: RulesProps) {
  const rules = hops ? (['beat'] as Rule[]) : (['end-fraction', 'end-after', 'reference-reps', 'beat'] as Rule[]);
  return <div class="review-rules">{rules.map(rule => <OneRule key={rule} rule={rule} now={now[bounds[rule].setting] ?? null} ask={ask} onDraft={onDraft} />)}</div>;
}

function OneRule({rule, now, ask, onDraft}: {rule: Rule; now: number | null; ask: RulesProps['ask']; onDraft: RulesProps['onDraft']}) {
  const {setting, field, ...about} = bounds[rule];
  const [value, setValue] = useState<number | null>(now);
  const [count, setCount] = useState<number | null>(null);
  useEffect(() => setValue(now), [now]);
  useEffect(() => {
    setCount(null);
    if (value === null || value === now) return;
    let gone = false;
    const timer = setTimeout(() => {
      void ask({[setting]: value}).then(answer => !gone && answer && setCount((answer.heel_raise ?? answer.hop)!.count));
    }, 120);
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [value, now]);
  const changed = value !== null && value !== now;
  return (
    <div class="review-rule">
      <NumberField label={t(`review.rule-${rule}`)} value={value} onValue={setValue} {...about} />
      <p class="figures" role="status">{changed && count !== null ? t('review.would-count', {n: count}) : ''}</p>
      <Button disabled={!changed} onClick={() => changed && onDraft({what: rule, before: {[field]: now}, after: {[field]: value}})}>{t('review.take-over')}</Button>
    </div>
  );
}
