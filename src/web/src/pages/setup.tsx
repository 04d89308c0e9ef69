// How one test is set up, in a few steps; docs/filming.md has the whole of it.
import type {Slot} from '../kit/slots';
import {said, t, type Key} from '../kit/words';
import {painStop} from '../kit/about';
import {CameraDrawing, TestDrawing} from './drawings';

const steps: Record<string, Key[]> = {
  'heel-raise': ['setup.sticker', 'setup.card', 'setup.camera', 'setup.quiet', 'setup.raise'],
  hop: ['setup.sticker', 'setup.card', 'setup.camera-hop', 'setup.quiet', 'setup.hop'],
  lunge: ['setup.stickers-lunge', 'setup.card-lunge', 'setup.camera-lunge', 'setup.lunge', 'setup.lunge-wall']};

export function Setup({slot}: {slot: Slot}) {
  const limit = painStop.value;
  return (
    <div class="setup">
      <TestDrawing slot={slot} label={t(`drawing.${slot.test}`)} />
      <ol>{steps[slot.test]!.map(key => <li key={key}>{t(key)}</li>)}
        {slot.test === 'heel-raise' ? <li>{t(slot.knee === 'bent' ? 'setup.bent' : 'setup.straight')}</li> : null}</ol>
      <CameraDrawing distance={t('setup.distance')} />
      {limit === null ? null : <p class="hint">{said('caution.stop', {limit: String(limit)})}</p>}
    </div>
  );
}
