import { useState } from 'preact/hooks';
import { api } from './api';
import { backingNames, kindOf, namesOf, reload, say, textOf, useDraft } from './state';
import type { Column, Thing } from './types';
import { Act, Choice, Field, Pick, signer } from './ui';

// A form for any kind of thing in the record, made from the record's own description of it.

const words: Record<string, string> = {
  object_id: 'Object number',
  nature: 'Kind of damage',
  width_mm: 'Width',
  height_mm: 'Height',
  grammage_g_m2: 'Weight',
  left_cm2: 'Left in the drawer',
  area_cm2: 'Area',
  used_cm2: 'Used',
  drop_ml: 'One drop',
  drop_sd_ml: 'Spread of a drop',
  ml_m2: 'Liquid taken up',
  sd_ml_m2: 'Its spread',
  dry_g_ml: 'Dry colorant',
  colour_index: 'Colour Index name',
  template_name: 'Template',
  power: 'Power, as a lamp file',
  cct_k: 'Colour temperature',
  illuminance_lx: 'Illuminance',
  uv_uw_lm: 'Ultraviolet',
  temperature_c: 'Temperature',
  conductivity_us_cm: 'Conductivity',
  volume_l: 'Volume',
  ph: 'pH',
  minutes: 'How long',
  text: 'The note',
  given: 'When given',
  made: 'When made',
  measured: 'When measured',
  checked: 'Last checked',
  aperture_mm: 'Aperture',
  reproducibility_de00: 'Reproducibility',
  of: 'Mean of',
};
const units: Record<string, string> = {
  _mm: 'mm',
  grammage_g_m2: 'g/m²',
  _cm2: 'cm²',
  sd_ml_m2: 'ml/m²',
  ml_m2: 'ml/m²',
  dry_g_ml: 'g per ml',
  _ml: 'ml',
  _k: 'K',
  _lx: 'lx',
  uv_uw_lm: 'µW/lm',
  temperature_c: '°C',
  conductivity_us_cm: 'µS/cm',
  volume_l: 'l',
  minutes: 'minutes',
};

export const columnWords = (name: string) => {
  if (words[name]) return words[name];
  const plain = name.replace(/_/g, ' ');
  return plain[0].toUpperCase() + plain.slice(1);
};
const unitOf = (name: string) => {
  const key = Object.keys(units).find((ending) => name === ending || (ending.startsWith('_') && name.endsWith(ending)));
  return key && units[key];
};
const isNumeric = (column: Column) => /number|real|integer|count|whole|double/i.test(column.form) || !!unitOf(column.name);

/// A column's value as she would type it.
export function typedText(thing: Thing, column: Column): string {
  if (thing.links[column.name]) return thing.links[column.name];
  const value = thing.columns[column.name];
  if (value && typeof value === 'object' && !Array.isArray(value))
    return Object.entries(value).map(([key, one]) => `${key}=${one}`).join(', ');
  return Array.isArray(value) ? JSON.stringify(value) : textOf(thing, column.name);
}

interface Props {
  kind: string;
  /// Columns that are settled by where she is; they are not shown.
  fixed?: Record<string, string>;
  /// Which columns to show first; the others are folded away.
  first: string[];
  hidden?: string[];
  sheet?: string;
  button: string;
  draft: string;
  /// What is likely, filled in.
  start?: Record<string, string>;
  /// A correction of this thing; asks why.
  thing?: Thing;
  onKept?: (name: string, id: number) => void;
}

export function KindForm(props: Props) {
  const kind = kindOf(props.kind);
  const initial: Record<string, string> = { why: '', ...props.start };
  if (props.thing && kind) for (const column of kind.columns) initial[column.name] = typedText(props.thing, column);
  const [typed, setTyped, clear] = useDraft<Record<string, string>>(props.draft, initial);
  const [all, setAll] = useState(!!props.thing);
  const [opened] = useState(props.thing?.row);
  if (!kind) return null;
  const set = (name: string) => (value: string) => setTyped((old) => ({ ...old, [name]: value }));
  const columns = kind.columns.filter(
    (c) => !(c.name in (props.fixed ?? {})) && !(props.hidden ?? []).includes(c.name) && !(c.name === 'sheet' && props.thing),
  );
  const isFirst = (c: Column) => props.first.includes(c.name) || (c.needed && !props.thing);
  const order = [...columns].sort((a, b) => props.first.indexOf(a.name) - props.first.indexOf(b.name));
  const shown = [...order.filter(isFirst), ...columns.filter((c) => !isFirst(c) && (all || !!typed[c.name]))];
  const more = columns.length > shown.length;

  const keep = async () => {
    const by = signer();
    if (!by) return;
    const entered: Record<string, string> = { ...props.fixed };
    for (const column of columns) {
      const said = (typed[column.name] ?? '').trim();
      // A decimal comma is as good as a point.
      const value = isNumeric(column) ? said.replace(/(\d),(\d)/g, '$1.$2').replace('−', '-') : said;
      if (props.thing ? value !== (initial[column.name] ?? '') : value) entered[column.name] = value;
    }
    if (props.thing && !Object.keys(entered).length) throw new Error('Nothing was changed, so there is nothing to keep');
    const kept = await api.keep({
      kind: props.kind,
      columns: entered,
      by,
      ...(props.thing ? { thing: `#${props.thing.id}`, seen_row: opened, why: typed.why } : {}),
    });
    clear();
    await reload(props.sheet);
    const what = kept.name.startsWith(props.kind) ? kept.name : `${props.kind} ${kept.name || `#${kept.id}`}`;
    say(`${props.thing ? 'Corrected' : 'Kept'}: ${what}`);
    props.onKept?.(kept.name, kept.id);
  };

  return (
    <form
      class="form"
      onSubmit={(e) => {
        e.preventDefault();
        e.currentTarget.querySelector<HTMLButtonElement>('button.main')?.click();
      }}
    >
      <div class="fields">
        {shown.map((column) => {
          const label = columnWords(column.name);
          const value = typed[column.name] ?? '';
          if (column.one_of?.length && column.one_of.length <= 3 && column.needed)
            return (
              <Pick
                legend={label}
                value={value}
                options={column.one_of.map((one): [string, string] => [one, one])}
                onChange={set(column.name)}
              />
            );
          if (column.one_of?.length)
            return (
              <Choice
                label={label}
                value={value}
                options={['', ...column.one_of]}
                onChange={set(column.name)}
                needed={column.needed}
              />
            );
          return (
            <Field
              label={label}
              unit={unitOf(column.name)}
              type={isNumeric(column) && column.name !== 'dry_g_ml' ? 'number' : column.name === 'text' || column.name === 'power' ? 'area' : 'text'}
              value={value}
              onInput={set(column.name)}
              help={(unitOf(column.name) && column.name !== 'dry_g_ml') || ['name', 'text'].includes(column.name) ? undefined : column.help}
              list={column.links_to ? namesOf(column.links_to, props.sheet) : column.name === 'backing' ? backingNames() : undefined}
              needed={column.needed}
            />
          );
        })}
        {props.thing && (
          <Field
            label="Why it is corrected"
            value={typed.why ?? ''}
            onInput={set('why')}
            needed
            help="What stood there before stays readable"
            wide
          />
        )}
      </div>
      <div class="acts">
        <Act main onAct={keep}>
          {props.button}
        </Act>
        {more && (
          <button type="button" class="act quiet" onClick={() => setAll(true)}>
            More fields
          </button>
        )}
      </div>
    </form>
  );
}
