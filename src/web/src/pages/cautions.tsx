// The questions before any test, the gravest first, and what a yes means.
import {questions, painStop} from '../kit/about';
import {useState} from 'preact/hooks';
import type {Visit, VisitStore} from '../kit/store';
import {Button, Choice, Notice} from '../kit/parts';
import {num, said, t} from '../kit/words';

type Answer = 'yes' | 'no' | 'not-asked';

export function Cautions({store, visit}: {store: VisitStore; visit: Visit}) {
  const all = questions.value;
  const answer = (key: string): Answer => visit.session.cautions?.[key] ?? 'not-asked';
  const yes = all.filter(one => answer(one.key) === 'yes');
  const open = all.filter(one => answer(one.key) === 'not-asked');
  const [shown, setShown] = useState(open.length > 0 || all.length === 0);
  const set = (key: string, value: Answer): void => store.edit(['session', 'cautions', key], value);
  return (
    <>
      <div class="section-head">
        <h2 id="h-cautions" tabIndex={-1}>{said('caution.heading')}</h2>
        <span class="soft" role="status">{open.length ? t('cautions.open', {n: open.length}) : t('cautions.all')}</span>
      </div>
      {yes.length ? (
        <Notice tone={yes.some(one => one.means !== 'care') ? 'bad' : 'care'} live>
          {yes.map(one => <p key={one.key}><strong>{said(`means.${one.means}`)}.</strong> {said(`caution.${one.key}.action`)}</p>)}
        </Notice>
      ) : null}
      {!shown ? <p>{yes.length ? t('cautions.rest-answered') : said('caution.none', {count: all.length})}</p> : null}
      {shown ? <div class="questions">
        {all.map(one => (
          <div key={one.key} class={`question ${answer(one.key) === 'yes' ? `yes ${one.means}` : ''}`}>
            <p class="asked">{said(`caution.${one.key}.question`)}</p>
            <Choice legend={said(`caution.${one.key}.question`)} quietLegend value={answer(one.key)} onValue={value => set(one.key, value)}
                    options={[{value: 'yes', label: t('answer.yes'), tone: 'bad'}, {value: 'no', label: t('answer.no')}, {value: 'not-asked', label: t('answer.not-asked'), tone: 'soft'}]} />
          </div>
        ))}
      </div> : null}
      <div class="actions">
        {open.length ? null : <Button expanded={shown} onClick={() => setShown(!shown)}>{shown ? t('cautions.fold') : t('cautions.show')}</Button>}
        {open.length ? <Button onClick={() => open.forEach(one => set(one.key, 'no'))}>{t('cautions.rest-no')}</Button> : null}
        {painStop.value === null ? null : <span class="hint">{said('caution.stop', {limit: num(painStop.value)})}</span>}
      </div>
    </>
  );
}
