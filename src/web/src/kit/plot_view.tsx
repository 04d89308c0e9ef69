// A chart in the page. The drawing is a picture to a screen reader; `summary` says in words what it shows.
import {useEffect, useRef, useState} from 'preact/hooks';
import {isDark} from './settings';
import {t} from './words';
import type {PlotHandle, PlotSpec} from './plot';

interface PlotProps {spec: PlotSpec; summary: string; onHandle?: (handle: PlotHandle) => void}

export function Plot({spec, summary, onHandle}: PlotProps) {
  const node = useRef<HTMLDivElement>(null);
  const handle = useRef<PlotHandle | null>(null);
  const latest = useRef(spec);
  const [missing, setMissing] = useState(false);
  latest.current = spec;
  const dark = isDark();
  useEffect(() => {
    let gone = false;
    import('./plot').then(({draw}) => {
      if (gone || !node.current) return;
      handle.current = draw(node.current, latest.current);
      onHandle?.(handle.current);
    }).catch(() => setMissing(true));
    return () => {
      gone = true;
      handle.current?.destroy();
      handle.current = null;
    };
  }, []);
  useEffect(() => handle.current?.set(spec), [spec]);
  useEffect(() => {
    requestAnimationFrame(() => handle.current?.redraw());
  }, [dark]);
  const small = spec.height !== undefined && spec.height < 200;
  return (
    <figure class="plot">
      <div ref={node} class={`plot-box ${small ? 'small' : ''}`} role="img" aria-label={summary} />
      {missing ? <p class="hint">{t('plot.missing')}</p> : null}
    </figure>
  );
}
