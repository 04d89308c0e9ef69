// Whether what was typed is saved; and what to do where another window typed into the same field.
import type {Clash, VisitStore} from '../kit/store';
import {Button, FaultBox, Notice} from '../kit/parts';
import {num, saidOr, t} from '../kit/words';

export const Saving = ({store}: {store: VisitStore}) => (
  <span class="saving" role="status">
    {store.clashes.value.length ? t('saving.refused') : store.saving.value === 'saved' ? t('saving.saved') : store.saving.value === 'waiting' ? t('saving.waiting') : store.saving.value === 'refused' ? t('saving.refused') : t('saving.saving')}
  </span>
);

const shown = (value: unknown): string =>
  value === null || value === undefined || value === '' ? t('clash.nothing') : typeof value === 'number' ? num(value, Number.isInteger(value) ? 0 : 1) : String(value);

const fieldName = (clash: Clash): string => {
  const [part, first = '', second = '', third = ''] = clash.path;
  if (part === 'tests') return third ? saidOr(`quantity.${third}`, third) : second;
  if (first === 'cautions') return saidOr(`caution.${second}.name`, second);
  return second || first;
};

export function Clashes({store}: {store: VisitStore}) {
  const clashes = store.clashes.value;
  const refused = store.saveFault.value && store.saving.value === 'refused' ? <FaultBox fault={store.saveFault.value} /> : null;
  if (!clashes.length) return refused;
  return (
    <div role="alert" class="clash">
      <Notice tone="care">
        <p><strong>{t('clash.title')}</strong></p>
        <p>{t('clash.text')}</p>
        <ul>{clashes.map(clash => <li key={clash.path.join('/')}>{t('clash.field', {field: fieldName(clash), mine: shown(clash.mine), theirs: shown(clash.theirs)})}</li>)}</ul>
        <div class="actions"><Button kind="main" onClick={() => store.takeTheirs()}>{t('clash.theirs')}</Button><Button onClick={() => store.keepMine()}>{t('clash.mine')}</Button></div>
      </Notice>
    </div>
  );
}
