// The beat of a test, to be played here.
import {useEffect} from 'preact/hooks';
import {protocol} from '../kit/about';
import {playBeat, playing, stopBeat, type Step} from '../kit/beat';
import type {Slot} from '../kit/slots';
import {Button} from '../kit/parts';
import {num, t} from '../kit/words';

const beatsAStep = 40;  // ten bars of four, as `risetrace beat --ladder` plays it

export function beatOf(slot: Pick<Slot, 'test'>): Step[] {
  if (slot.test === 'heel-raise') {
    const bpm = protocol('heel_raise', 'beat_bpm');
    return bpm ? [{bpm, beats: null}] : [];
  }
  const [from, step, least] = ['from', 'step', 'to'].map(part => protocol('hop', `ladder_${part}_per_min`));
  if (slot.test !== 'hop' || !from || !step || !least) return [];
  const all: Step[] = [];
  for (let bpm = from; bpm >= least; bpm -= step) all.push({bpm, beats: beatsAStep});
  return all;
}

export function BeatBox({slot, small}: {slot: Slot; small?: boolean}) {
  const id = slot.slot;
  useEffect(() => () => {
    if (playing.peek()?.id === id) stopBeat();
  }, [id]);
  const steps = beatOf(slot);
  if (!steps.length) return null;
  const now = playing.value?.id === id ? playing.value : null;
  const button = <Button kind="plain" onClick={() => (now ? stopBeat() : void playBeat(id, steps))}>{now ? t('beat.stop') : slot.test === 'hop' ? t('beat.ladder') : t('beat.play', {bpm: num(steps[0]!.bpm)})}</Button>;
  if (small) return button;
  return (
    <>
      <div class="beat-line">
        {button}
        <Lamp id={id} />
        <span class="beat-now" aria-hidden="true">{now?.click ? num(now.click.bpm) : ''}</span>
      </div>
      {slot.test === 'hop' ? (
        <ol class="ladder" aria-label={t('beat.steps')}>{steps.map((step, n) => <li key={step.bpm} class={now?.click?.step === n ? 'now' : ''}>{num(step.bpm)}</li>)}</ol>
      ) : null}
      <p class="hint">{slot.test === 'hop' ? t('beat.ladder-hint') : t('beat.raise-hint')}</p>
    </>
  );
}

// Changes with each click; the eye sees the beat as well.
function Lamp({id}: {id: string}) {
  const now = playing.value?.id === id ? playing.value.click : null;
  const beat = now ? Math.round(now.t_s * 1000) % 2 : 0;
  return <span class={`beat-lamp ${now && beat >= 0 ? flip(now.t_s) : ''}`} aria-hidden="true" />;
}

let lastBeat = -1;
let lit = false;
const flip = (t_s: number): string => {
  if (t_s !== lastBeat) {
    lastBeat = t_s;
    lit = !lit;
  }
  return lit ? 'on' : '';
};
