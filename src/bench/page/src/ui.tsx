import type { ComponentChildren, JSX } from 'preact';
import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { changed, complain, places, say, state, useBench, useColours } from './state';
import type { Lab, Warning } from './types';

export const fixed = (value: number | null | undefined, digits = 2): string =>
  value === null || value === undefined ? 'not known' : value.toFixed(digits);
/// With its sign, a true minus, and no "-0.0".
export function signed(value: number | null | undefined, digits = 1): string {
  if (value === null || value === undefined) return 'not known';
  const text = Math.abs(value).toFixed(digits);
  if (Number(text) === 0) return text;
  return (value > 0 ? '+' : '−') + text;
}
export const warningText = (w: string | Warning): string =>
  typeof w === 'string' ? w : [w.where, w.message].filter(Boolean).join(': ');
export const pliesWords = (n: number) => (n === 1 ? '1 ply' : `${n} plies`);
export const unitWords = (unit: string) =>
  ({ g_m2: 'g/m²', ml_m2: 'ml/m²', relative: 'relative' })[unit] ?? unit;
export const whenWords = (iso: string): string => {
  const at = new Date(iso);
  return Number.isNaN(at.valueOf())
    ? iso
    : at.toLocaleString('en-GB', { day: 'numeric', month: 'short', year: 'numeric', hour: '2-digit', minute: '2-digit' });
};
export const stamp = (): string => {
  const two = (n: number) => String(n).padStart(2, '0');
  const t = new Date();
  return `${t.getFullYear()}-${two(t.getMonth() + 1)}-${two(t.getDate())} ${two(t.getHours())}-${two(t.getMinutes())}-${two(t.getSeconds())}`;
};
/// "2,5" or "2.5" as a number; nothing where it is none.
export function numberIn(text: string): number | null {
  const trimmed = text.trim().replace(',', '.').replace('−', '-');
  if (!trimmed) return null;
  const value = Number(trimmed);
  return Number.isFinite(value) ? value : null;
}

/// Published lamps in a person's words; a lamp of the house keeps its own name. The colour temperatures
/// are those that the program computes from the published tables.
const lamps: Record<string, string> = {
  D65: 'daylight',
  D50: 'warmer daylight',
  A: 'tungsten',
  'LED-B1': 'warm LED',
  'LED-B2': 'warm LED, 3000 K',
  'LED-B3': 'neutral LED',
  'LED-B4': 'cool LED',
  'LED-B5': 'cold LED',
};
export const lampWords = (name: string): string => lamps[name] ?? name;
/// With its code, where one has to be chosen.
export const lampOption = (name: string): [string, string] => [name, lamps[name] ? `${lamps[name]} (${name})` : name];

/// Nothing is entered without a name behind it.
export function signer(): string | null {
  if (state.by.trim()) return state.by.trim();
  complain(new Error('First say who is entering: the field at the top of the page'));
  document.getElementById('by')?.focus();
  return null;
}

export function Field(props: {
  label: string;
  value: string;
  onInput: (value: string) => void;
  help?: string;
  type?: 'text' | 'number' | 'area';
  list?: string[];
  needed?: boolean;
  unit?: string;
  id?: string;
  wide?: boolean;
}) {
  const own = useId();
  const id = props.id ?? own;
  const help = props.help ? `${id}-help` : undefined;
  const common = {
    id,
    value: props.value,
    required: props.needed,
    'aria-describedby': help,
    onInput: (e: JSX.TargetedEvent<HTMLInputElement | HTMLTextAreaElement>) => props.onInput(e.currentTarget.value),
  };
  return (
    <div class={`field${props.type === 'number' ? ' short' : ''}${props.wide ? ' wide' : ''}`}>
      <label for={id}>
        {props.label}
        {props.unit && <span class="unit"> in {props.unit}</span>}
        {props.needed && <span class="needed"> needed</span>}
      </label>
      {props.type === 'area' ? (
        <textarea {...common} rows={4} />
      ) : (
        <input
          {...common}
          type="text"
          autocomplete="off"
          inputMode={props.type === 'number' ? 'decimal' : undefined}
          list={props.list?.length ? `${id}-list` : undefined}
        />
      )}
      {props.list?.length ? (
        <datalist id={`${id}-list`}>
          {props.list.map((name) => (
            <option value={name} />
          ))}
        </datalist>
      ) : null}
      {props.help && (
        <p class="help" id={help}>
          {props.help}
        </p>
      )}
    </div>
  );
}

export function Choice(props: {
  label: string;
  value: string;
  options: (string | [string, string])[];
  onChange: (value: string) => void;
  help?: string;
  needed?: boolean;
}) {
  const id = useId();
  return (
    <div class="field">
      <label for={id}>
        {props.label}
        {props.needed && <span class="needed"> needed</span>}
      </label>
      <select
        id={id}
        value={props.value}
        aria-describedby={props.help ? `${id}-help` : undefined}
        onChange={(e) => props.onChange(e.currentTarget.value)}
      >
        {props.options.map((option) => {
          const [value, words] = typeof option === 'string' ? [option, option || 'not said'] : option;
          return <option value={value}>{words}</option>;
        })}
      </select>
      {props.help && (
        <p class="help" id={`${id}-help`}>
          {props.help}
        </p>
      )}
    </div>
  );
}

/// One of a few, all in sight.
export function Pick(props: {
  legend: string;
  value: string;
  options: [string, string][];
  onChange: (value: string) => void;
  help?: string;
}) {
  const name = useId();
  return (
    <fieldset class="pick">
      <legend>{props.legend}</legend>
      <div class="picks">
        {props.options.map(([value, words]) => (
          <label class={value === props.value ? 'on' : ''}>
            <input type="radio" name={name} checked={value === props.value} onChange={() => props.onChange(value)} />
            <span>{words}</span>
          </label>
        ))}
      </div>
      {props.help && <p class="help">{props.help}</p>}
    </fieldset>
  );
}

export function Tick(props: { label: ComponentChildren; on: boolean; onChange: (on: boolean) => void; disabled?: boolean }) {
  return (
    <label class={`tick${props.on ? ' on' : ''}`}>
      <input
        type="checkbox"
        checked={props.on}
        disabled={props.disabled}
        onChange={(e) => props.onChange(e.currentTarget.checked)}
      />
      <span>{props.label}</span>
    </label>
  );
}

/// What came of the last thing that was pressed stands where it was pressed. Where that is gone, it
/// stands at the head of the page.
export function useToldHere(): { id: string; told: JSX.Element | null; press: () => void } {
  const id = useId();
  const { at, said, trouble } = useBench();
  useEffect(() => {
    places.add(id);
    return () => {
      places.delete(id);
      if (state.at === id) changed({ at: '' });
    };
  }, [id]);
  const here = at === id;
  return {
    id,
    press: () => changed({ at: id, said: '', trouble: '' }),
    told: here && (said || trouble) ? <Told /> : null,
  };
}

/// One message: what was done, or why not.
export function Told() {
  const { said, trouble } = useBench();
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => {
    // What was pressed may lie in a fold that is closed by now.
    if (box.current && !box.current.getClientRects().length) changed({ at: '' });
    else box.current?.scrollIntoView({ block: 'nearest' });
  });
  if (!trouble)
    return (
      <div class="said" ref={box}>
        <p>{said}</p>
      </div>
    );
  return (
    <div class="trouble" role="alert" ref={box}>
      <p>
        <strong>Not done.</strong> {trouble}
      </p>
      <button type="button" class="act quiet" onClick={() => changed({ trouble: '' })}>
        OK
      </button>
    </div>
  );
}

/// A button whose work may take a moment: it says so, and is not pressed twice.
export function Act(props: {
  children: ComponentChildren;
  onAct: () => Promise<unknown> | unknown;
  main?: boolean;
  quiet?: boolean;
  disabled?: boolean;
  label?: string;
  done?: string;
}) {
  const [busy, setBusy] = useState(false);
  const here = useToldHere();
  const act = async () => {
    here.press();
    setBusy(true);
    try {
      await props.onAct();
      if (props.done) say(props.done);
    } catch (error) {
      complain(error);
    } finally {
      setBusy(false);
    }
  };
  return (
    <>
      <button
        type="button"
        class={`act${props.main ? ' main' : ''}${props.quiet ? ' quiet' : ''}`}
        disabled={props.disabled || busy}
        aria-busy={busy}
        aria-label={props.label}
        onClick={act}
      >
        {props.children}
        {busy && <span class="busy"> …</span>}
      </button>
      {here.told}
    </>
  );
}

/// Comes into view when it is new on a page that stood already.
export function Arrives(props: { of: string | number; children: ComponentChildren }) {
  const box = useRef<HTMLDivElement>(null);
  const last = useRef<string | number | null>(null);
  useEffect(() => {
    if (last.current !== null && last.current !== props.of && props.of) box.current?.scrollIntoView({ block: 'start' });
    last.current = props.of;
  }, [props.of]);
  return <div ref={box}>{props.children}</div>;
}

export function Card(props: { title?: string; level?: 2 | 3; children: ComponentChildren; class?: string; id?: string }) {
  const id = useId();
  const Heading = `h${props.level ?? 2}` as 'h2';
  return (
    <section class={`card ${props.class ?? ''}`} aria-labelledby={props.title ? id : undefined} id={props.id}>
      {props.title && <Heading id={id}>{props.title}</Heading>}
      {props.children}
    </section>
  );
}

export function Fold(props: { title: string; children: ComponentChildren; open?: boolean }) {
  return (
    <details class="fold" open={props.open}>
      <summary>{props.title}</summary>
      <div>{props.children}</div>
    </details>
  );
}

/// Cautions and warnings: a mark, a word, a list.
export function Cautions(props: { title?: string; items: string[]; mark?: string }) {
  const items = [...new Set(props.items)];
  if (!items.length) return null;
  return (
    <div class="cautions">
      <p class="cautions-title">
        <span aria-hidden="true" class="mark">
          {props.mark ?? '!'}
        </span>
        {props.title ?? 'Cautions'}
      </p>
      <ul>
        {items.map((item) => (
          <li>{item}</li>
        ))}
      </ul>
    </div>
  );
}
export const Warnings = (props: { items: (string | Warning)[]; title?: string }) => (
  <Cautions title={props.title ?? 'Take note'} items={props.items.map(warningText)} />
);

export function Table(props: { caption: string; head: string[]; rows: ComponentChildren[][]; hideCaption?: boolean }) {
  return (
    <div class="table" tabIndex={0} role="region" aria-label={props.caption}>
      <table>
        <caption class={props.hideCaption ? 'unseen' : ''}>{props.caption}</caption>
        <thead>
          <tr>
            {props.head.map((cell) => (
              <th scope="col">{cell}</th>
            ))}
          </tr>
        </thead>
        <tbody>
          {props.rows.map((row) => (
            <tr>
              {row.map((cell, i) => (i === 0 ? <th scope="row">{cell}</th> : <td>{cell}</td>))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

export const labWords = (lab: Lab) => `L* ${lab[0].toFixed(1)}  a* ${signed(lab[1])}  b* ${signed(lab[2])}`;

/// How a colour differs from paper, in words: each is said from a difference of 0.3 on.
export function directionWords(lab: Lab, paper: Lab): string {
  const [dL, da, db] = lab.map((v, i) => v - paper[i]);
  const words = [
    dL >= 0.3 ? 'lighter' : dL <= -0.3 ? 'darker' : '',
    da >= 0.3 ? 'pinker' : da <= -0.3 ? 'greener' : '',
    db >= 0.3 ? 'yellower' : db <= -0.3 ? (paper[2] < 0 ? 'bluer' : 'less yellow') : '',
  ].filter(Boolean);
  return words.join(', ') || 'alike';
}

/// A chip of a colour as a screen can show it, its numbers beside it.
export function Chip(props: { lab: Lab; light?: string; label?: string; bare?: boolean }) {
  const [colour] = useColours([props.lab], props.light);
  const chip = (
    <span
      class={`chip${colour?.outside ? ' outside' : ''}`}
      style={{ backgroundColor: colour?.css ?? 'transparent' }}
      aria-hidden="true"
    />
  );
  if (props.bare) return chip;
  return (
    <span class="chip-row">
      {chip}
      <span>
        {props.label ? `${props.label}: ` : ''}
        <span class="figures">{labWords(props.lab)}</span>
        {colour?.outside && <span class="beyond"> (this screen cannot show it)</span>}
      </span>
    </span>
  );
}

export const Nothing = (props: { children: ComponentChildren }) => <p class="nothing">{props.children}</p>;

export function ScreenNote() {
  return (
    <Fold title="What a screen can and cannot tell about a match">
      <p>
        The colours here are computed by the engine and brought to sRGB through ICC profiles. A screen shows which of
        two fills is lighter, pinker or yellower, and how a difference lies in the shape of the loss. It cannot tell
        that a fill matches: it has its own white, its own reach of colours and one light only, it shows no gloss, no
        texture and no weight, and the room’s light falls on it. Colours that it cannot show are hatched and named.
        Trust the figures, then the real tissue beside the real sheet under the real lamp.
      </p>
      <p>Keep the room’s light away from the screen, and the surround neutral, as it is here.</p>
    </Fold>
  );
}
