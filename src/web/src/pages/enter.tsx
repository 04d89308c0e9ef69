// The one-time code that `risetrace serve --lan` prints.
import {useState} from 'preact/hooks';
import {post, asFault, wantsCode, type Fault} from '../kit/api';
import {Button, FaultBox, Heading, TextField} from '../kit/parts';
import {t} from '../kit/words';

export function Enter() {
  const [code, setCode] = useState('');
  const [busy, setBusy] = useState(false);
  const [fault, setFault] = useState<Fault | null>(null);
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    setBusy(true);
    setFault(null);
    try {
      await post('/api/enter', {code: code.trim()});
      wantsCode.value = false;
      location.assign('/');
    } catch (error) {
      wantsCode.value = true;
      setFault(asFault(error));
      setCode('');
    }
    setBusy(false);
  };
  return (
    <form class="narrow sheet" onSubmit={submit}>
      <Heading level={1}>{t('enter.title')}</Heading>
      <p>{t('enter.how')}</p>
      <TextField label={t('enter.code')} value={code} onInput={setCode} autocomplete="one-time-code" mode="text" required />
      <FaultBox fault={fault} />
      <Button kind="main" type="submit" busy={busy} disabled={!code.trim()}>{t('enter.go')}</Button>
    </form>
  );
}
