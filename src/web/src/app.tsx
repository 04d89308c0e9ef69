// The page's entry: the frame round every view, and which view is shown.
import {render} from 'preact';
import type {ComponentType} from 'preact';
import {useEffect, useRef, useState} from 'preact/hooks';
import {effect} from '@preact/signals';
import {route, moved, to} from './kit/router';
import {frameSaysAway, online, wantsCode} from './kit/api';
import {loadWords, t} from './kit/words';
import {listen} from './kit/store';
import {loadAbout} from './kit/about';
import {useFlash} from './kit/use';
import {Notice, Loading, Link} from './kit/parts';
import {Lookout} from './pages/lookout';
import {Start} from './pages/start';
import {Enter} from './pages/enter';
import './app.css';

type Props = Record<string, string>;
type Load = () => Promise<ComponentType<any>>;

const loaders: Record<string, Load> = {
  visit: () => import('./pages/visit').then(part => part.VisitPage),
  test: () => import('./pages/test').then(part => part.TestPage),
  live: () => import('./live/view').then(part => part.LiveView),
  review: () => import('./review/view').then(part => part.ReviewView),
  people: () => import('./pages/people').then(part => part.PeoplePage),
  person: () => import('./pages/people').then(part => part.PersonPage),
  quick: () => import('./pages/quick').then(part => part.QuickPage),
  phone: () => import('./pages/phone').then(part => part.PhonePage)};

// A view whose code is fetched when it is first shown.
function Later({name, props}: {name: string; props: Props}) {
  const [view, setView] = useState<{name: string; of: ComponentType<any>} | null>(null);
  const [failed, setFailed] = useState(false);
  useEffect(() => {
    let gone = false;
    setFailed(false);
    loaders[name]!().then(of => !gone && setView({name, of})).catch(() => setFailed(true));
    return () => {
      gone = true;
    };
  }, [name, online.value]);
  if (failed && view?.name !== name) return <Notice tone="bad">{t('view.missing')}</Notice>;
  if (view?.name !== name) return <Loading />;
  const View = view.of;
  return <View key={JSON.stringify(props)} {...props} />;
}

function View() {
  const [first, a = '', b = '', c = ''] = route.value;
  if ((first === 'visit' || first === 'quick') && b && c === 'live') return <Later name="live" props={{visit: a, slot: b}} />;
  if ((first === 'visit' || first === 'quick') && b && c === 'review') return <Later name="review" props={{visit: a, slot: b}} />;
  if (first === 'visit' && b) return <Later name="test" props={{visit: a, slot: b}} />;
  if (first === 'visit' && a) return <Later name="visit" props={{visit: a}} />;
  if (first === 'people' && a) return <Later name="person" props={{code: a}} />;
  if (first === 'people') return <Later name="people" props={{}} />;
  if (first === 'quick') return <Later name="quick" props={{visit: a}} />;
  return <Start />;
}

// The program is there again: said for a while.
function Back() {
  const was = useRef(true);
  const [on, flash] = useFlash(8000);
  useEffect(() => {
    if (online.value && !was.current) flash();
    was.current = online.value;
  }, [online.value]);
  return on && online.value ? <div class="offline back" role="status">{t('offline.back')}</div> : null;
}

function Frame() {
  useEffect(() => {
    if (moved.value > 0) scrollTo(0, 0);
  }, [moved.value]);
  const here = route.value[0] ?? '';
  return (
    <>
      <a class="skip" href="#main" onClick={event => {
        event.preventDefault();
        document.querySelector<HTMLElement>('main')?.focus();
      }}>{t('skip')}</a>
      <header class="top">
        <div class="top-row">
          <a class="brand" href={to()} aria-label={t('nav.start')}><BrandMark />risetrace</a>
          <nav aria-label={t('nav')}>
            <a href={to()} aria-current={here === '' || here === 'visit' ? 'page' : undefined}>{t('nav.visits')}</a>
            <a href={to('people')} aria-current={here === 'people' ? 'page' : undefined}>{t('nav.people')}</a>
            <a href={to('quick')} aria-current={here === 'quick' ? 'page' : undefined}>{t('nav.quick')}</a>
          </nav>
          <Lookout />
        </div>
      </header>
      <Back />
      {online.value ? null : <div class="offline" role="status"><strong>{t('offline.what')}</strong> {t('offline.do')}</div>}
      <main id="main" tabIndex={-1}>{wantsCode.value ? <Enter /> : <View />}</main>
      <footer class="foot"><p>{t('device')}</p><p><Link href="/THIRD-PARTY.txt">{t('third-party')}</Link></p></footer>
    </>
  );
}

const BrandMark = () => (
  <svg viewBox="0 0 32 24" aria-hidden="true" focusable="false"><path d="M1 20 C6 20 6 4 10.500 4 S15 20 19 20 24 9 27 9 29 20 31 20" /></svg>
);

const Alone = () => <main id="main" tabIndex={-1} class="phone"><Later name="phone" props={{}} /></main>;
const Gate = () => <main id="main" tabIndex={-1}><Enter /></main>;

const page = document.getElementById('page')!;
page.textContent = '';
effect(() => {
  document.title = t('title');
});
if (location.pathname === '/phone') render(<Alone />, page);
else if (location.pathname === '/enter') render(<Gate />, page);
else {
  loadAbout();
  loadWords();
  listen();
  frameSaysAway.value = true;
  render(<Frame />, page);
}
