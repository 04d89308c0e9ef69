// What one browser remembers of how the page is to look. Nothing of any person is kept here.
import {signal, effect} from '@preact/signals';

export type Language = 'en' | 'de';
export type Theme = 'system' | 'light' | 'dark';

const remembered = (key: string): string | null => {
  try {
    return localStorage.getItem(`risetrace.${key}`);
  } catch {
    return null;
  }
};

const remember = (key: string, value: string): void => {
  try {
    localStorage.setItem(`risetrace.${key}`, value);
  } catch {
    // A browser that keeps nothing still shows the page.
  }
};

const firstLanguage = (): Language => {
  const kept = remembered('language');
  if (kept === 'en' || kept === 'de') return kept;
  return navigator.language.toLowerCase().startsWith('de') ? 'de' : 'en';
};

const firstTheme = (): Theme => {
  const kept = remembered('theme');
  return kept === 'light' || kept === 'dark' ? kept : 'system';
};

export const language = signal<Language>(firstLanguage());
export const theme = signal<Theme>(firstTheme());

effect(() => {
  document.documentElement.lang = language.value;
  remember('language', language.value);
});

effect(() => {
  document.documentElement.dataset.theme = theme.value;
  remember('theme', theme.value);
});

const darkMedia = matchMedia('(prefers-color-scheme: dark)');
const systemDark = signal(darkMedia.matches);
darkMedia.addEventListener('change', event => (systemDark.value = event.matches));

// Whether the page is dark now: charts read their colours anew when it turns.
export const isDark = (): boolean => theme.value === 'dark' || (theme.value === 'system' && systemDark.value);
