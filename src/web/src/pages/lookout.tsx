// How the page looks and in which language: in sight on every page, kept by the browser.
import {language, theme, type Language, type Theme} from '../kit/settings';
import {t} from '../kit/words';

export function Lookout() {
  return (
    <div class="lookout">
      <label>
        <span class="unseen">{t('settings.language')}</span>
        <select value={language.value} onChange={event => (language.value = event.currentTarget.value as Language)}>
          <option value="en" selected={language.value === 'en'}>English</option>
          <option value="de" selected={language.value === 'de'}>Deutsch</option>
        </select>
      </label>
      <label>
        <span class="unseen">{t('settings.theme')}</span>
        <select value={theme.value} onChange={event => (theme.value = event.currentTarget.value as Theme)}>
          {(['system', 'light', 'dark'] as const).map(one => <option key={one} value={one} selected={theme.value === one}>{t(`settings.${one}`)}</option>)}
        </select>
      </label>
    </div>
  );
}
