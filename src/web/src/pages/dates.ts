// A person's code and a visit's date as they can be.
import {t} from '../kit/words';

export const codeForm = /^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$/;

export const today = (): string => {
  const now = new Date();
  return [now.getFullYear(), String(now.getMonth() + 1).padStart(2, '0'), String(now.getDate()).padStart(2, '0')].join('-');
};

// What is wrong with it; empty: nothing.
export const dateFault = (date: string): string => (/^\d{4}-\d{2}-\d{2}$/.test(date) ? '' : t('date.missing'));
// What is odd about it and asked about before it is taken; empty: nothing.
export const dateDoubt = (date: string): string => (date > today() ? t('date.future') : date < '2000-01-01' ? t('date.long-ago') : '');
