// A button that opens the browser's own file picker.
import {useRef} from 'preact/hooks';
import {Button} from '../kit/parts';

interface PickProps {label: string; take: (file: File) => void; accept: string; kind?: 'main' | 'plain'; capture?: boolean; big?: boolean}

export function PickFile({label, take, accept, kind = 'plain', capture, big}: PickProps) {
  const input = useRef<HTMLInputElement>(null);
  return (
    <>
      <input ref={input} type="file" class="unseen" tabIndex={-1} aria-hidden="true" accept={accept} capture={capture ? 'environment' : undefined}
             onChange={event => {
               const file = event.currentTarget.files?.[0];
               if (file) take(file);
               event.currentTarget.value = '';
             }} />
      <Button kind={kind} big={big} onClick={() => input.current?.click()}>{label}</Button>
    </>
  );
}
