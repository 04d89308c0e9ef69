// The heel's height as a bar, and the reps as a row of bars. Low ones are hatched as well as coloured.
import {protocol} from '../kit/about';
import {num, t} from '../kit/words';
import type {Rep} from './session';

const share = (height: number | null, full: number): number => (height === null || full <= 0 ? 0 : Math.min(1, Math.max(0, height / full)));

export function HeightBar({height, full}: {height: number | null; full: number}) {
  const filled = 200 * share(height, full);
  return (
    <svg class="live-bar" viewBox="0 0 48 204" role="img" aria-label={t('live.bar')}>
      <rect class="frame" x="1" y="1" width="46" height="202" rx="5" />
      <rect class="fill" x="2" y={202 - filled} width="44" height={filled} rx="4" />
    </svg>
  );
}

export function RepRow({reps}: {reps: Rep[]}) {
  if (!reps.length) return null;
  const full = Math.max(...reps.map(rep => rep.height_cm));
  const reference = reps.find(rep => rep.of_reference !== null);
  const fraction = protocol('heel_raise', 'end_fraction');
  const line = reference && fraction ? 60 - 60 * share((reference.height_cm / reference.of_reference!) * fraction, full) : null;
  const width = Math.max(10, reps.length) * 12;
  return (
    <svg class="live-reps" preserveAspectRatio="xMinYMax meet" viewBox={`0 0 ${width} 64`} role="img" aria-label={t('live.row', {heights: reps.map(rep => num(rep.height_cm, 1)).join('; ')})}>
      {reps.map(rep => <rect key={rep.n} class={rep.low ? 'low' : ''} x={(rep.n - 1) * 12 + 1} y={62 - 60 * share(rep.height_cm, full)} width="9" height={60 * share(rep.height_cm, full)} />)}
      {line === null ? null : <path class="limit" d={`M0 ${line + 2}H${width}`} />}
    </svg>
  );
}
