import {t} from '../kit/words';

// A result gone through and corrected. `visit` is the open visit's ID, `slot` the test's name.
export function ReviewView(_props: {visit: string; slot: string}) {
  return <p class="hint">{t('review.not-here')}</p>;
}
