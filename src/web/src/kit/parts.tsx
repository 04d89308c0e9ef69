// The pieces every view is made of.
import type {ComponentChildren} from 'preact';
import {useEffect, useId, useRef, useState} from 'preact/hooks';
import {moved} from './router';
import {t, faultWords, programSpeaks, parseNumber, num, decimalMark} from './words';
import {frameSaysAway, type Fault} from './api';
import type {SaidFault} from './store';
import type {Side} from './slots';

type Kind = 'main' | 'plain' | 'quiet' | 'danger';
interface ButtonProps {
  kind?: Kind; busy?: boolean; disabled?: boolean; onClick?: (event: MouseEvent) => void; children: ComponentChildren; label?: string;
  type?: 'button' | 'submit'; pressed?: boolean; expanded?: boolean; big?: boolean; class?: string;
}

export function Button({kind = 'plain', busy = false, disabled = false, label, type = 'button', pressed, expanded, big, ...rest}: ButtonProps) {
  return (
    <button type={type} class={`button ${kind}${big ? ' big' : ''} ${rest.class ?? ''}`} disabled={disabled} aria-busy={busy || undefined}
            aria-label={label} aria-pressed={pressed} aria-expanded={expanded} onClick={event => !busy && rest.onClick?.(event)}>
      {rest.children}
    </button>
  );
}

interface LinkProps {href: string; kind?: Kind | 'text'; children: ComponentChildren; download?: string; newTab?: boolean; label?: string; class?: string}
export function Link({href, kind = 'text', children, download, newTab, label, ...rest}: LinkProps) {
  return (
    <a href={href} class={`${kind === 'text' ? 'link' : `button ${kind}`} ${rest.class ?? ''}`} download={download} aria-label={label}
       target={newTab ? '_blank' : undefined} rel={newTab ? 'noopener' : undefined}>
      {children}
    </a>
  );
}

// A side's own shape, as in the papers: left a disc, right a square, both a diamond.
export function SideMark({side}: {side: Side}) {
  return (
    <svg class={`side-mark ${side}`} viewBox="0 0 16 16" aria-hidden="true" focusable="false">
      {side === 'left' ? <circle cx="8" cy="8" r="6.5" /> : side === 'right' ? <rect x="2" y="2" width="12" height="12" />
        : <path d="M8 .8 15.2 8 8 15.2.8 8Z" />}
    </svg>
  );
}

export const SideName = ({side}: {side: Side}) => (
  <span class={`side-name ${side}`}><SideMark side={side} />{t(`side.${side}`)}</span>
);

interface FieldProps {label: string; hint?: string; error?: string; unit?: string; children: (id: string, describedBy: string | undefined) => ComponentChildren; class?: string}
export function Field({label, hint, error, unit, children, ...rest}: FieldProps) {
  const id = useId();
  const described = [hint ? `${id}-hint` : '', error ? `${id}-error` : ''].filter(Boolean).join(' ') || undefined;
  return (
    <div class={`field ${rest.class ?? ''}`}>
      <label for={id}>{label}</label>
      <div class="field-line">{children(id, described)}{unit ? <span class="unit">{unit}</span> : null}</div>
      {hint ? <p class="hint" id={`${id}-hint`}>{hint}</p> : null}
      {error ? <p class="field-error" id={`${id}-error`} role="alert">{error}</p> : null}
    </div>
  );
}

interface TextProps {label: string; value: string; onInput: (value: string) => void; hint?: string; error?: string; type?: 'text' | 'date' | 'password' | 'search'; required?: boolean;
                     maxLength?: number; autocomplete?: string; mode?: 'text' | 'numeric' | 'decimal'; class?: string}
export function TextField({label, value, onInput, hint, error, type = 'text', required, maxLength = 400, autocomplete = 'off', mode, ...rest}: TextProps) {
  return (
    <Field label={label} hint={hint} error={error} class={rest.class}>
      {(id, described) => (
        <input id={id} type={type as 'text'} value={value} required={required} maxLength={maxLength} autocomplete={autocomplete} spellcheck={false}
               inputMode={mode} aria-describedby={described} aria-invalid={error ? true : undefined}
               onInput={event => onInput(event.currentTarget.value)} />
      )}
    </Field>
  );
}

interface NumberProps {label: string; value: number | null | undefined; onValue: (value: number | null) => void; unit?: string; least?: number; most?: number;
                       decimals?: number; hint?: string; class?: string; grouping?: boolean}
// Takes a comma or a point. What is no number or out of bounds is said beside it and not handed on.
export function NumberField({label, value, onValue, unit, least, most, decimals = 1, hint, ...rest}: NumberProps) {
  const shown = value === null || value === undefined ? '' : String(value).replace('.', decimalMark());
  const [typed, setTyped] = useState<string | null>(null);
  const [error, setError] = useState('');
  const handed = useRef(value ?? null);
  const check = (text: string): void => {
    setTyped(text);
    const number = parseNumber(text);
    if (number === undefined) return setError(t('number.none'));
    if (number !== null && ((least !== undefined && number < least) || (most !== undefined && number > most)))
      return setError(t('number.bounds', {least: num(least, least! % 1 ? 1 : 0), most: num(most, most! % 1 ? 1 : 0)}));
    if (number !== null && decimals === 0 && number % 1 !== 0) return setError(t('number.whole'));
    setError('');
    handed.current = number;
    onValue(number);
  };
  // Saved here, then changed in another window: what is newer is shown.
  useEffect(() => {
    if (!error && (value ?? null) !== handed.current) setTyped(null);
    handed.current = value ?? null;
  }, [value]);
  return (
    <Field label={label} unit={unit} hint={hint} error={error} class={`number ${rest.class ?? ''}`}>
      {(id, described) => (
        <input id={id} type="text" inputMode={decimals ? 'decimal' : 'numeric'} value={typed ?? shown} autocomplete="off"
               aria-describedby={described} aria-invalid={error ? true : undefined}
               onInput={event => check(event.currentTarget.value)} onBlur={() => !error && setTyped(null)} />
      )}
    </Field>
  );
}

interface SelectProps<T extends string> {label: string; value: T; options: {value: T; label: string}[]; onValue: (value: T) => void; hint?: string; class?: string}
export function SelectField<T extends string>({label, value, options, onValue, hint, ...rest}: SelectProps<T>) {
  return (
    <Field label={label} hint={hint} class={rest.class}>
      {(id, described) => (
        <select id={id} value={value} aria-describedby={described} onChange={event => onValue(event.currentTarget.value as T)}>
          {options.map(option => <option key={option.value} value={option.value} selected={option.value === value}>{option.label}</option>)}
        </select>
      )}
    </Field>
  );
}

interface ChoiceProps<T extends string> {legend: string; value: T | null; options: {value: T; label: string; tone?: string}[]; onValue: (value: T) => void;
                                         quietLegend?: boolean; class?: string; describedBy?: string}
// One of a few, all in sight: radio buttons, so arrow keys and screen readers know what to do.
export function Choice<T extends string>({legend, value, options, onValue, quietLegend, describedBy, ...rest}: ChoiceProps<T>) {
  const name = useId();
  return (
    <fieldset class={`choice ${rest.class ?? ''}`} aria-describedby={describedBy}>
      <legend class={quietLegend ? 'unseen' : ''}>{legend}</legend>
      <div class="choice-row">
        {options.map(option => (
          <label key={option.value} class={`choice-one ${option.tone ?? ''}`}>
            <input type="radio" name={name} value={option.value} checked={value === option.value} onChange={() => onValue(option.value)} />
            <span>{option.label}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

interface CheckProps {label: string; checked: boolean; onValue: (value: boolean) => void; hint?: string}
export function CheckField({label, checked, onValue, hint}: CheckProps) {
  const id = useId();
  return (
    <div class="check">
      <input id={id} type="checkbox" checked={checked} aria-describedby={hint ? `${id}-hint` : undefined}
             onChange={event => onValue(event.currentTarget.checked)} />
      <label for={id}>{label}</label>
      {hint ? <p class="hint" id={`${id}-hint`}>{hint}</p> : null}
    </div>
  );
}

interface DialogProps {title: string; onClose: () => void; children: ComponentChildren; wide?: boolean}
// Modal: the rest of the page cannot be reached, Escape closes, the focus goes back to where it was.
export function Dialog({title, onClose, children, wide}: DialogProps) {
  const node = useRef<HTMLDialogElement>(null);
  const id = useId();
  useEffect(() => {
    const before = document.activeElement as HTMLElement | null;
    node.current?.showModal();
    return () => before?.focus();
  }, []);
  return (
    <dialog ref={node} class={wide ? 'wide' : ''} aria-labelledby={id} onClose={onClose}
            onCancel={event => {
              event.preventDefault();
              onClose();
            }}>
      <div class="dialog-head">
        <h2 id={id}>{title}</h2>
        <Button kind="quiet" label={t('close')} onClick={onClose}>✕</Button>
      </div>
      {children}
    </dialog>
  );
}

// A failure where the person is looking: what is wrong, why, what to do. The program's own sentences are English; what is
// known by its code is said in the page's words, and why in the program's below it.
// `file`: the clip it is about, as its owner calls it.
export function FaultBox({fault, retry, children, file}: {fault: Fault | SaidFault | null | undefined; retry?: () => void; children?: ComponentChildren; file?: string | null}) {
  if (!fault || fault.code === 'aborted') return null;
  if (fault.code === 'offline' && frameSaysAway.value) return null;
  if (fault.code === 'offline') return <div class="notice bad" role="alert"><p><strong>{t('offline.what')}</strong></p><p>{t('offline.do')}</p></div>;
  const known = faultWords(faultKey(fault));
  const english = programSpeaks();
  const said = 'todo' in fault ? fault.todo : fault.do;
  const title = known.title || (english ? sentence(fault.what) : '') || t(english ? 'failed' : 'fault.other');
  // The server keeps a clip under a name of its own; that is nobody's here.
  const because = fault.why.replace(/^clip\.\w+: /, '');
  const why = [known.title || english ? '' : fault.what, because].filter(isPlain).map(sentence).join(' ');
  const todo = known.title || !isPlain(said) ? '' : sentence(said);
  return (
    <div class="notice bad" role="alert">
      <p><strong>{title}</strong>{file ? ` (${file})` : ''}</p>
      {english && why ? <p>{why}</p> : null}
      {known.todo ? <p>{known.todo}</p> : english && todo ? <p>{todo}</p> : null}
      {!english && (why || todo) ? <p class="hint">{t('fault.says')} <span lang="en">{[why, todo].filter(Boolean).join(' ')}</span></p> : null}
      {children}
      {retry ? <Button kind="plain" onClick={retry}>{t('again')}</Button> : null}
    </div>
  );
}

// Words for whoever starts the program, not for who looks at a page: options, files, fields.
const isPlain = (text: string): boolean => text !== '' && !/--?[a-z]|[/`]|\b[a-z_]\w*[._][a-z_]\w*/i.test(text.replace(/[a-z]-[a-z]/gi, ''));

// Of what was sent and cannot be: which field, where the page has words for that.
const faultKey = ({code, why}: {code: string; why: string}): string => {
  if (code !== 'wrong-field' && code !== 'session-wrong' && code !== 'asked-wrong' && code !== 'option-wrong') return code;
  if (/^one clip, .* stands for /.test(why)) return 'one-clip-twice';
  const field = (['birth_year', 'date', 'code', 'training_log', 'tests'] as const).find(one => new RegExp(`\\b${one}\\b`).test(why));
  return faultWords(`wrong-field.${field}`).title ? `wrong-field.${field}` : code;
};

// A piece of the server's one-line messages as a sentence of its own.
const sentence = (text: string): string => (text ? `${text[0]!.toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? '' : '.'}` : text);

export function Notice({tone = 'calm', children, live}: {tone?: 'calm' | 'care' | 'bad' | 'good'; children: ComponentChildren; live?: boolean}) {
  return <div class={`notice ${tone}`} role={live ? 'status' : undefined}>{children}</div>;
}

// The number that matters, large; its uncertainty and unit beside it, never on a line of their own.
export function Headline({value, unit, children}: {value: string; unit: string; children: ComponentChildren}) {
  const [number, u] = value.split(' ± ');
  return <p class="headline"><span class="value"><b>{number}</b>{u ? <span> ± {u}</span> : null}{unit ? <span> {unit}</span> : null}</span> <span>{children}</span></p>;
}

// Share null: how long it will take is not known.
export function Progress({label, share, detail}: {label: string; share: number | null | undefined; detail?: string}) {
  const known = typeof share === 'number';
  return (
    <div class="progress">
      <div class="progress-words"><span>{label}</span><span class="figures">{detail ?? (known ? `${num(share * 100)} %` : '')}</span></div>
      <progress aria-label={label} max={1} value={known ? share : undefined} />
    </div>
  );
}

export function Fold({title, children, open}: {title: string; children: ComponentChildren; open?: boolean}) {
  return <details class="fold" open={open}><summary>{title}</summary><div class="fold-body">{children}</div></details>;
}

let focusedFor = 0;

// The page's own heading takes the focus once after each move to another view: a reader's place is there, not where it was.
export function Heading({children, id, level = 2}: {children: ComponentChildren; id?: string; level?: 1 | 2 | 3}) {
  const node = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    if (level !== 1 || focusedFor === moved.peek()) return;
    focusedFor = moved.peek();
    node.current?.focus({preventScroll: true});
  }, []);
  const Tag = `h${level}` as 'h1' | 'h2' | 'h3';
  return <Tag ref={node} id={id} tabIndex={level === 1 ? -1 : undefined}>{children}</Tag>;
}

export const Loading = () => <p class="loading" role="status">{t('loading')}</p>;
