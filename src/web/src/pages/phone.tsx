// What a phone sees that was pointed at the code on the screen: one test, one clip, big buttons.
import {useEffect, useState} from 'preact/hooks';
import {get, asFault, online, type Fault} from '../kit/api';
import {sendClip, sendingOf, sendings} from '../kit/upload';
import {slotOf, testKey, type Knee, type Side, type Test} from '../kit/slots';
import {FaultBox, Heading, Loading, Notice, Progress, SideMark} from '../kit/parts';
import {loadWords, bytes, saidOr, t} from '../kit/words';
import type {State, SaidFault} from '../kit/store';
import {PickButton, stageWord} from './clip';
import {Setup} from './setup';
import {Lookout} from './lookout';

interface Told {slot: string; test?: Test; side?: Side; knee?: Knee; state?: State; stage?: string; share?: number; error?: SaidFault}

const ticket = location.hash.slice(1);
const headers = {'X-Ticket': ticket};

export function PhonePage() {
  const [told, setTold] = useState<Told | null>(null);
  const [fault, setFault] = useState<Fault | null>(null);
  const look = (): void => {
    get<Told>('/api/phone', {headers}).then(said => {
      setTold(said);
      setFault(null);
    }).catch(error => setFault(asFault(error)));
  };
  useEffect(() => {
    history.replaceState(null, '', '/phone');
    loadWords();
    look();
  }, []);
  sendings.value;
  const sending = sendingOf('phone').value;
  const busy = sending?.state === 'done' && told?.state !== 'measured' && told?.state !== 'failed';
  useEffect(() => {
    if (!busy) return;
    const timer = setInterval(look, 1500);
    return () => clearInterval(timer);
  }, [busy]);
  const slot = told ? slotOf(told.slot) : null;
  if (!slot) return fault ? <div class="phone-page"><Heading level={1}>{t('phone.page')}</Heading><FaultBox fault={fault} /><p>{t('phone.ask-anew')}</p></div> : <Loading />;
  const sent = sending?.state === 'done';
  return (
    <div class="phone-page">
      <Lookout />
      <Heading level={1}><SideMark side={slot.side} /> {saidOr(testKey(slot), t(`test.${slot.test}`))}, {t(`side.${slot.side}`).toLowerCase()}</Heading>
      {online.value ? null : <Notice tone="care" live><p>{t('phone.line')}</p></Notice>}
      {sending && !sent && sending.state !== 'failed' ? (
        <div role="status"><Progress label={sending.state === 'waiting' ? t('clip.waiting-line') : t('clip.sending', {name: sending.name})} share={sending.size ? sending.sent / sending.size : 0}
                                     detail={t('clip.of', {done: bytes(sending.sent), all: bytes(sending.size)})} /><p class="hint">{t('phone.stay')}</p></div>
      ) : null}
      {sent ? <Notice tone="good" live><p><strong>{t('phone.sent')}</strong></p><p>{t('phone.look')}</p></Notice> : null}
      {sent && (told?.state === 'measuring' || told?.state === 'waiting') ? <Progress label={stageWord(told.stage)} share={told.share ?? null} /> : null}
      {told?.state === 'measured' && sent ? <Notice tone="good" live><p>{t('phone.measured')}</p></Notice> : null}
      {told?.state === 'failed' && sent ? <FaultBox fault={told.error} /> : null}
      {sending?.state === 'failed' ? <FaultBox fault={sending.fault} file={sending.name} /> : null}
      {!sending || sending.state === 'failed' ? (
        <>
          <PickButton label={t('phone.film')} capture take={file => void sendClip('phone', file, '/api/phone/upload', headers)} />
          <PickButton label={t('phone.choose')} kind="plain" take={file => void sendClip('phone', file, '/api/phone/upload', headers)} />
          <p class="hint">{t('phone.slow-motion')}</p>
          <details class="fold"><summary>{t('test.setup')}</summary><div class="fold-body"><Setup slot={slot} /></div></details>
        </>
      ) : null}
      <p class="hint">{t('device')}</p>
    </div>
  );
}
