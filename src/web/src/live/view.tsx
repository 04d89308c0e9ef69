import {t} from '../kit/words';

// The test as it runs, from a camera. `visit` is the open visit's ID, `slot` the test's name.
export function LiveView(_props: {visit: string; slot: string}) {
  return <p class="hint">{t('live.not-here')}</p>;
}
