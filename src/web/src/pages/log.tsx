// What was trained since the last visit, typed in from the runner's sheet or taken from a file.
import {useState} from 'preact/hooks';
import {about} from '../kit/about';
import type {Visit, VisitStore} from '../kit/store';
import type {TrainingLog} from '../types/training-log';
import {Button, Fold, Notice, NumberField, SelectField, TextField} from '../kit/parts';
import {day, num, said, t} from '../kit/words';
import {PickFile} from './pick_file';
import {today} from './dates';

type Day = TrainingLog['days'][number];

export const logOf = (visit: Visit): TrainingLog | null => {
  const log = (visit.session as unknown as {training_log?: TrainingLog | null}).training_log;
  return log && typeof log === 'object' ? log : null;
};

const setsText = (one: Day): string => one.sets.map(set => num(set.reps ?? set.seconds)).join(' ');

export function LogEditor({store, visit}: {store: VisitStore; visit: Visit}) {
  const [wrong, setWrong] = useState('');
  const log = logOf(visit);
  const days = log?.days ?? [];
  const put = (next: Day[]): void => {
    const sorted = [...next].sort((a, b) => (a.date < b.date ? -1 : 1));
    store.edit(['session', 'training_log'], sorted.length ? {schema: 'risetrace/training-log/1', person: visit.session.person.code, days: sorted} : null);
  };
  const take = async (file: File): Promise<void> => {
    setWrong('');
    try {
      const read = JSON.parse(await file.text()) as TrainingLog;
      if (read.schema !== 'risetrace/training-log/1' || !Array.isArray(read.days)) return setWrong(t('log.file-wrong'));
      if (read.person !== visit.session.person.code) return setWrong(t('log.other-person', {code: String(read.person)}));
      put(read.days);
    } catch {
      setWrong(t('log.file-wrong'));
    }
  };
  return (
    <Fold title={`${t('log.title')}${days.length ? ` (${days.length})` : ''}`}>
      <p class="hint">{t('log.hint')}</p>
      {days.length ? (
        <div class="table-box" tabIndex={0} role="region" aria-label={t('log.title')}>
          <table>
            <thead><tr><th scope="col">{t('log.day')}</th><th scope="col">{t('log.rung')}</th><th scope="col">{t('log.sets')}</th><th scope="col">{t('log.load')}</th>
              <th scope="col">{t('log.pain-during')}</th><th scope="col">{t('log.pain-morning')}</th><th scope="col"><span class="unseen">{t('start.discard')}</span></th></tr></thead>
            <tbody>{days.map((one, n) => (
              <tr key={`${one.date} ${n}`}><th scope="row">{day(one.date)}</th><td>{said(`ladder.${one.ladder}`)}: {said(`rung.${one.rung}.name`)}</td><td>{setsText(one)}</td>
                <td>{num(one.sets[0]?.load_kg, 1)}</td><td>{num(one.pain_during)}</td><td>{num(one.pain_next_morning)}</td>
                <td><Button kind="quiet" label={t('log.remove', {date: day(one.date)})} onClick={() => put(days.filter((_, at) => at !== n))}>✕</Button></td></tr>
            ))}</tbody>
          </table>
        </div>
      ) : <p>{t('log.none')}</p>}
      {wrong ? <Notice tone="bad" live><p>{wrong}</p></Notice> : null}
      <NewDay onAdd={one => put([...days, one])} />
      <PickFile label={t('log.file')} accept=".json,application/json" take={file => void take(file)} />
    </Fold>
  );
}

function NewDay({onAdd}: {onAdd: (one: Day) => void}) {
  const ladders = about.value?.protocols?.ladders?.ladders ?? [];
  const [date, setDate] = useState(today());
  const [ladderKey, setLadder] = useState('strength');
  const [rungKey, setRung] = useState('');
  const [sets, setSets] = useState('');
  const [load, setLoad] = useState<number | null>(null);
  const [during, setDuring] = useState<number | null>(null);
  const [morning, setMorning] = useState<number | null>(null);
  const [wrong, setWrong] = useState('');
  const rungs = ladders.find(one => one.key === ladderKey)?.rungs ?? [];
  const rung = rungs.find(one => one.key === rungKey) ?? rungs[0];
  if (!rung) return null;
  const seconds = Array.isArray(rung.seconds);
  const add = (): void => {
    const numbers = sets.trim().split(/[\s,;]+/).map(Number);
    if (!sets.trim() || numbers.length > 20 || numbers.some(one => !Number.isInteger(one) || one < 0)) return setWrong(t('log.sets-wrong'));
    setWrong('');
    onAdd({date, ladder: ladderKey, rung: rung.key, sets: numbers.map(one => ({...(seconds ? {seconds: one} : {reps: one}), ...(load === null ? {} : {load_kg: load}),
           ...(rung.beat_bpm ? {beat_bpm: rung.beat_bpm} : {})})), ...(during === null ? {} : {pain_during: during}), ...(morning === null ? {} : {pain_next_morning: morning})} as Day);
    setSets('');
  };
  return (
    <div class="person-grid">
      <TextField label={t('log.day')} type="date" value={date} onInput={setDate} />
      <SelectField label={t('log.ladder')} value={ladderKey} options={ladders.map(one => ({value: one.key, label: said(`ladder.${one.key}`)}))} onValue={setLadder} />
      <SelectField class="wide-field" label={t('log.rung')} value={rung.key} options={rungs.map(one => ({value: one.key, label: said(`rung.${one.key}.name`)}))} onValue={setRung} />
      <TextField label={t(seconds ? 'log.sets-seconds' : 'log.sets-reps')} hint={t('log.sets-hint')} error={wrong} value={sets} onInput={setSets} />
      {rung.loaded ? <NumberField label={t('log.load')} unit="kg" least={0} most={300} value={load} onValue={setLoad} /> : null}
      <NumberField label={t('log.pain-during')} least={0} most={10} decimals={0} value={during} onValue={setDuring} />
      <NumberField label={t('log.pain-morning')} least={0} most={10} decimals={0} value={morning} onValue={setMorning} />
      <div class="field-end"><Button onClick={add}>{t('log.add')}</Button></div>
    </div>
  );
}
