// What needs every test's result waits for those that are on their way, and says for which.
import {useEffect, useState} from 'preact/hooks';
import type {Visit} from '../kit/store';
import {t} from '../kit/words';
import {isBusy} from './clip';
import {testWords} from './twin';

// `waits`: what it waits for, in words; empty: for nothing. `then` does it now, or as soon as all are through.
export function useWhenMeasured(visit: Visit, run: () => void): {waits: string; wanted: boolean; then: () => void} {
  const [wanted, setWanted] = useState(false);
  const coming = Object.keys(visit.tests).filter(name => isBusy(visit.tests[name]));
  const clear = coming.length === 0;
  useEffect(() => {
    if (!wanted || !clear) return;
    setWanted(false);
    run();
  }, [wanted, clear]);
  const words = coming.map(name => t(visit.tests[name]!.state === 'uploading' ? 'waits.coming' : 'waits.measured', {test: testWords(name)}));
  return {waits: words.join(' '), wanted, then: () => setWanted(true)};
}
