import { useState } from 'preact/hooks';
import { api, type Place } from './api';
import { cellsOf, completed, csvOf, hasHeading, markFor } from './csv';
import { FilePick } from './sheet';
import { backingNames, labThings, loadRecord, loadSheet, nameOf, say, sheetThings, state, useDraft, wordsOf } from './state';
import type { Preview, PreviewReading } from './types';
import { Act, Chip, Choice, Field, Nothing, numberIn, Pick, signer, stamp, Table, Tick, Warnings } from './ui';

// Readings by file, by typing or by pasting: first what was understood, then whether to keep it.

export interface Batch {
  name: string;
  bytes: Blob;
  scale: string;
  /// Of a table that does not say them, "400-700:10".
  wavelengths: string;
  preview: Preview | null;
  trouble: string;
}

export async function understood(batch: Batch): Promise<Batch> {
  try {
    return { ...batch, preview: await api.preview(batch.name, batch.bytes, batch.scale, batch.wavelengths), trouble: '' };
  } catch (error) {
    return { ...batch, preview: null, trouble: wordsOf(error) };
  }
}
export const batchOf = (name: string, bytes: Blob): Batch => ({ name, bytes, scale: '', wavelengths: '', preview: null, trouble: '' });

interface Group {
  name: string;
  role: string;
  over: string;
  state: string;
  how: string;
  loads: string;
  n: number;
}
/// Repeats are one line.
export function groupsOf(readings: PreviewReading[]): Group[] {
  const groups = new Map<string, Group>();
  for (const r of readings) {
    const loads = Object.entries(r.loads ?? {})
      .filter(([, load]) => load > 0)
      .map(([name, load]) => `${name} ${load}`)
      .join(', ');
    const how = [r.geometry, r.condition, r.instrument].filter(Boolean).join(', ');
    const key = JSON.stringify([r.name, r.role, r.backing, r.state, how, loads, r.plies]);
    const known = groups.get(key);
    if (known) ++known.n;
    else
      groups.set(key, {
        name: r.name,
        role: r.role || 'not said',
        over: r.backing || 'not said',
        state: r.state || 'not said',
        how,
        loads,
        n: 1,
      });
  }
  return [...groups.values()];
}

/// A table of values only: she says where they lie and sees what comes of it before anything is kept.
function Wavelengths(props: { value: string; onLook: (wavelengths: string) => Promise<void> }) {
  const [text, setText] = useState(props.value);
  return (
    <>
      <Field
        label="Wavelengths of the values"
        value={text}
        onInput={setText}
        list={['400-700:10', '380-730:10', '360-740:10', '360-780:10', '380-780:5']}
        help="first, last and step in nm, for example 400-700:10 for 31 values; one reading a row or a column"
      />
      <Act onAct={() => props.onLook(text.trim())}>Look again</Act>
    </>
  );
}

function Understood({ preview }: { preview: Preview }) {
  const groups = groupsOf(preview.readings);
  const withLoads = groups.some((g) => g.loads);
  const [all, setAll] = useState(false);
  const shown = all ? groups : groups.slice(0, 12);
  const tones = all ? preview.tones : preview.tones.slice(0, 12);
  return (
    <>
      <p>
        <strong>
          {preview.count} {preview.count === 1 ? 'reading' : 'readings'}
        </strong>{' '}
        of {preview.names} names were understood.
      </p>
      <Table
        caption="What was understood"
        head={['Name', 'Repeats', 'Role', 'Over', 'State', ...(withLoads ? ['Loads'] : []), 'How']}
        rows={shown.map((g) => [g.name, g.n, g.role, g.over, g.state, ...(withLoads ? [g.loads] : []), g.how])}
      />
      {tones.length > 0 && (
        <>
          <h4>
            Their tones under {preview.tones[0].light}, {preview.tones[0].observer} degrees
          </h4>
          <ul class="tones">
            {tones.map((tone) => (
              <li>
                <Chip lab={tone.lab} light={tone.light} label={tone.name} />
                <span class="quietly">
                  {tone.n} {tone.n === 1 ? 'reading' : 'readings'}
                  {tone.spread_de00 !== null && `, spread ΔE00 ${tone.spread_de00.toFixed(2)}`}
                  {tone.conditions && `; ${tone.conditions}`}
                </span>
                {tone.warnings.length > 0 && <span class="note-line">! {tone.warnings.join('; ')}</span>}
              </li>
            ))}
          </ul>
        </>
      )}
      {(groups.length > 12 || preview.tones.length > 12) && !all && (
        <button type="button" class="act quiet" onClick={() => setAll(true)}>
          Show all {Math.max(groups.length, preview.tones.length)}
        </button>
      )}
      <Warnings items={preview.warnings} />
    </>
  );
}

/// Spots that the record does not know yet: readings are linked to them only if they are entered first.
function NewSpots(props: { names: string[]; chosen: string[]; onChange: (chosen: string[]) => void }) {
  if (!props.names.length) return null;
  return (
    <fieldset class="unknown">
      <legend>Not in the record yet: enter spots too?</legend>
      <p class="help">Readings are linked to the spot of their name, if that is entered first.</p>
      <Tick
        label={`All ${props.names.length}`}
        on={props.names.every((name) => props.chosen.includes(name))}
        onChange={(on) => props.onChange(on ? props.names : [])}
      />
      <ul class="ticks">
        {props.names.map((name) => (
          <li>
            <Tick
              label={name}
              on={props.chosen.includes(name)}
              onChange={(on) => props.onChange(on ? [...props.chosen, name] : props.chosen.filter((one) => one !== name))}
            />
          </li>
        ))}
      </ul>
    </fieldset>
  );
}

/// Tissues that the drawer does not know yet, with what is left of them.
function NewTissues(props: {
  names: string[];
  on: boolean;
  onChange: (on: boolean) => void;
  left: Record<string, string>;
  onLeft: (left: Record<string, string>) => void;
}) {
  if (!props.names.length) return null;
  return (
    <fieldset class="unknown">
      <legend>Not in the drawer yet</legend>
      <Tick
        label={`Put ${props.names.length === 1 ? 'this tissue' : `these ${props.names.length} tissues`} into the drawer too`}
        on={props.on}
        onChange={props.onChange}
      />
      {props.on && (
        <>
          <p class="help">How much is left of each, in cm²; blank: not known. Lot and weight are taken from the file.</p>
          <div class="left">
            {props.names.map((name) => (
              <Field
                label={name}
                type="number"
                value={props.left[name] ?? ''}
                onInput={(cm2) => props.onLeft({ ...props.left, [name]: cm2 })}
              />
            ))}
          </div>
        </>
      )}
    </fieldset>
  );
}

function TypedLab(props: { name: string; role: string; draft: string; onBatch: (batch: Batch) => void }) {
  const [typed, setTyped, clear] = useDraft(`lab.${props.draft}`, {
    name: props.name,
    rows: [['', '', '']] as string[][],
    light: 'D50',
    observer: '2',
    backing: '',
    state: 'dry',
    instrument: '',
  });
  const set = (change: Partial<typeof typed>) => setTyped((old) => ({ ...old, ...change }));
  const look = () => {
    const rows = typed.rows.filter((row) => row.some((cell) => cell.trim()));
    if (!rows.length) throw new Error('Type L*, a* and b* of at least one reading');
    rows.forEach((row, i) => {
      row.forEach((cell, c) => {
        if (numberIn(cell) === null)
          throw new Error(`Reading ${i + 1}: ${['L*', 'a*', 'b*'][c]} must be a number; found ‘${cell}’`);
      });
    });
    if (!typed.name.trim()) throw new Error('Say what was read: a name is needed');
    const heading = ['name', 'repeat', 'role', 'backing', 'state', 'instrument', 'light', 'observer', 'L*', 'a*', 'b*'];
    const body = rows.map((row, i) => [
      typed.name.trim(),
      String(i + 1),
      props.role,
      typed.backing.trim(),
      typed.state,
      typed.instrument.trim(),
      typed.light,
      typed.observer,
      ...row.map((cell) => cell.trim().replace(',', '.').replace('−', '-')),
    ]);
    props.onBatch(batchOf(`typed ${stamp()}.csv`, new Blob([csvOf([heading, ...body])])));
    clear();
  };
  const setCell = (r: number, c: number, value: string) =>
    set({ rows: typed.rows.map((row, i) => (i === r ? row.map((cell, k) => (k === c ? value : cell)) : row)) });
  return (
    <div>
      <div class="fields">
        <Field label="What was read" value={typed.name} onInput={(name) => set({ name })} needed />
        <Choice
          label="Light"
          value={typed.light}
          options={state.record?.lights?.length ? state.record.lights : ['D50', 'D65']}
          onChange={(light) => set({ light })}
          help="the light that the instrument computed for"
        />
        <Choice
          label="Observer"
          value={typed.observer}
          options={[
            ['2', '2 degrees'],
            ['10', '10 degrees'],
          ]}
          onChange={(observer) => set({ observer })}
        />
        <Field label="Over" value={typed.backing} onInput={(backing) => set({ backing })} list={backingNames()} help="what lay behind" />
        <Choice label="State" value={typed.state} options={['dry', 'pasted', 'sized', 'wet', ['', 'not said']]} onChange={(s) => set({ state: s })} />
      </div>
      {typed.rows.map((row, r) => (
        <div class="triple" role="group" aria-label={`Reading ${r + 1}`}>
          <span class="quietly">Reading {r + 1}</span>
          {['L*', 'a*', 'b*'].map((label, c) => (
            <Field label={label} type="number" value={row[c]} onInput={(value) => setCell(r, c, value)} />
          ))}
        </div>
      ))}
      <div class="acts">
        <Act quiet onAct={() => set({ rows: [...typed.rows, ['', '', '']] })}>
          One more repeat
        </Act>
        <Act main onAct={look}>
          See what is understood
        </Act>
      </div>
      <p class="help">L*a*b* alone is bound to its light: a fill can then be ranked under that light only.</p>
    </div>
  );
}

function Pasted(props: { name: string; role: string; draft: string; said?: Record<string, string>; onBatch: (batch: Batch) => void }) {
  const [typed, setTyped, clear] = useDraft(`paste.${props.draft}`, { text: '', backing: '', state: 'dry' });
  const look = () => {
    const rows = cellsOf(typed.text);
    if (rows.length < 2 || !hasHeading(rows))
      throw new Error('Paste a heading row (name, wavelengths in nm or L*, a*, b* …) and at least one row below it');
    const whole = completed(rows, { name: props.name, role: props.role, backing: typed.backing, state: typed.state, ...props.said });
    props.onBatch(batchOf(`pasted ${stamp()}.csv`, new Blob([csvOf(whole, markFor(whole))])));
    clear();
  };
  return (
    <div>
      <Field
        label="Cells from a spreadsheet"
        type="area"
        wide
        value={typed.text}
        onInput={(text) => setTyped((old) => ({ ...old, text }))}
        help="With their heading row: name, then a column a wavelength headed by its nm, or L*, a*, b* with light and observer"
      />
      <div class="fields">
        <Field
          label="Over, where the cells do not say it"
          value={typed.backing}
          onInput={(backing) => setTyped((old) => ({ ...old, backing }))}
          list={backingNames()}
        />
        <Choice
          label="State, where the cells do not say it"
          value={typed.state}
          options={['dry', 'pasted', 'sized', 'wet', ['', 'not said']]}
          onChange={(s) => setTyped((old) => ({ ...old, state: s }))}
        />
      </div>
      <Act main onAct={look}>
        See what is understood
      </Act>
    </div>
  );
}

export function Readings(props: {
  /// What the readings belong to.
  place: Place;
  /// What a typed reading is called, and its role.
  name: string;
  role: string;
  draft: string;
  stage?: boolean;
  /// What pasted cells do not say themselves.
  said?: Record<string, string>;
  hint?: string;
  onKept?: (files: string[], batches: Batch[]) => void | Promise<void>;
}) {
  const [how, setHow] = useState('file');
  const [batches, setBatches] = useState<Batch[]>([]);
  const [stage, setStage] = useDraft(`stage.${props.draft}`, '');
  const [spots, setSpots] = useState<string[]>([]);
  const [tissues, setTissues] = useState(true);
  const [left, setLeft] = useState<Record<string, string>>({});
  const { sheet } = props.place;

  const add = async (fresh: Batch[]) => {
    const looked = await Promise.all(fresh.map(understood));
    setBatches((old) => [...old, ...looked]);
  };
  const replace = (at: number, batch: Batch) => setBatches((old) => old.map((one, i) => (i === at ? batch : one)));
  const drop = (at: number) => setBatches((old) => old.filter((_, i) => i !== at));

  const readings = batches.flatMap((batch) => batch.preview?.readings ?? []);
  const namesWith = (role: string) => [...new Set(readings.filter((r) => (r.role || props.role) === role).map((r) => r.name))];
  const knownHere = new Set(
    [...(sheet ? [...sheetThings(sheet, 'spot'), ...sheetThings(sheet, 'loss')] : [])].map(nameOf),
  );
  const newSpots = sheet && !props.place.spot && !props.place.loss && !props.place.trial
    ? namesWith('target').filter((name) => !knownHere.has(name))
    : [];
  const inDrawer = new Set(labThings('tissue').map(nameOf));
  const newTissues = sheet || props.place.tissue ? [] : namesWith('tissue').filter((name) => !inDrawer.has(name));
  const sayLeft = async (entered: string[], by: string) => {
    const said = labThings('tissue').filter((t) => entered.includes(nameOf(t)) && left[nameOf(t)]?.trim());
    for (const tissue of said)
      await api.keep({
        kind: 'tissue',
        thing: `#${tissue.id}`,
        columns: { left_cm2: left[nameOf(tissue)].trim().replace(',', '.') },
        why: 'how much is left, said with its first readings',
        by,
      });
    if (said.length) await loadRecord();
    setLeft({});
  };
  const keep = async () => {
    const by = signer();
    if (!by) return;
    for (const name of newSpots.filter((one) => spots.includes(one)))
      await api.keep({ kind: 'spot', columns: { sheet: sheet!, name }, by });
    const entered = tissues ? newTissues : [];
    for (const name of entered)
      if (left[name]?.trim() && numberIn(left[name]) === null)
        throw new Error(`${name}: what is left must be a number of cm²; found ‘${left[name]}’`);
    const kept: string[] = [];
    let refused: unknown = null;
    for (const batch of batches.filter((one) => one.preview)) {
      try {
        await api.readings(batch.name, batch.bytes, { ...props.place, stage }, by, batch.scale, entered.length > 0, batch.wavelengths);
        kept.push(batch.name);
      } catch (error) {
        refused = error;
      }
    }
    setBatches((old) => old.filter((one) => !kept.includes(one.name)));
    await Promise.all([loadRecord(), sheet ? loadSheet(sheet) : Promise.resolve()]);
    await sayLeft(entered, by);
    if (kept.length) say(`Kept: ${kept.join(', ')}`);
    await props.onKept?.(kept, batches.filter((one) => kept.includes(one.name)));
    if (refused) throw refused;
  };

  const good = batches.filter((batch) => batch.preview).length;
  return (
    <div class="readings">
      {props.hint && <p>{props.hint}</p>}
      <Pick
        legend="How do the readings come?"
        value={how}
        onChange={setHow}
        options={[
          ['file', 'As a file'],
          ['lab', 'Typed L*a*b*'],
          ['paste', 'Pasted cells'],
        ]}
      />
      {how === 'file' && (
        <FilePick
          label="Bring files of readings"
          several
          onFiles={(files) => void add(files.map((file) => batchOf(file.name, file)))}
        />
      )}
      {how === 'lab' && <TypedLab name={props.name} role={props.role} draft={props.draft} onBatch={(b) => void add([b])} />}
      {how === 'paste' && (
        <Pasted name={props.name} role={props.role} draft={props.draft} said={props.said} onBatch={(b) => void add([b])} />
      )}
      {batches.length > 0 && (
        <div class="batches" aria-live="polite">
          {batches.map((batch, i) => (
            <section class="batch" aria-label={batch.name}>
              <div class="batch-head">
                <h3>{batch.name}</h3>
                <button type="button" class="act quiet" aria-label={`Put away ${batch.name}`} onClick={() => drop(i)}>
                  Put away
                </button>
              </div>
              {batch.trouble && (
                <div class="trouble">
                  <p>
                    <strong>Not understood.</strong> {batch.trouble}
                  </p>
                </div>
              )}
              {(batch.trouble || batch.scale) && (
                <Pick
                  legend="Its numbers are"
                  value={batch.scale}
                  options={[
                    ['', 'as the file says'],
                    ['fraction', 'fractions, 0 to 1'],
                    ['percent', 'percent, 0 to 100'],
                  ]}
                  onChange={(scale) => void understood({ ...batch, scale }).then((next) => replace(i, next))}
                />
              )}
              {(/wavelengths/.test(batch.trouble) || batch.wavelengths) && (
                <Wavelengths
                  value={batch.wavelengths}
                  onLook={async (wavelengths) => replace(i, await understood({ ...batch, wavelengths }))}
                />
              )}
              {batch.preview && <Understood preview={batch.preview} />}
            </section>
          ))}
          {good > 0 && (
            <>
              <NewSpots names={newSpots} chosen={spots} onChange={setSpots} />
              <NewTissues names={newTissues} on={tissues} onChange={setTissues} left={left} onLeft={setLeft} />
              {props.stage && (
                <Field
                  label="Stage"
                  value={stage}
                  onInput={setStage}
                  list={['before', 'after bath 1', 'after bath 2', 'after']}
                  help="before, after bath 1, after …: a change is told between two stages"
                />
              )}
              <Act main onAct={keep}>
                Keep {good === 1 ? 'these readings' : `the readings of ${good} files`}
              </Act>
              <p class="help">Nothing is in the record until then.</p>
            </>
          )}
        </div>
      )}
    </div>
  );
}

/// What was read of a thing so far, from the record's means.
export function ReadSoFar({ sheet, column, name }: { sheet: string; column: 'spot' | 'loss' | 'trial'; name: string }) {
  const rows = sheetThings(sheet, 'reading').filter((r) => r.links[column] === name || String(r.columns.name) === name);
  if (!rows.length) return <Nothing>Not read yet.</Nothing>;
  const groups = new Map<string, number>();
  for (const r of rows) {
    const key = JSON.stringify([
      r.columns.stage ?? 'not said',
      r.columns.backing ?? 'not said',
      r.columns.state ?? 'not said',
      r.links.file ?? '',
    ]);
    groups.set(key, (groups.get(key) ?? 0) + 1);
  }
  return (
    <Table
      caption="Read so far"
      head={['Stage', 'Over', 'State', 'Readings', 'From']}
      rows={[...groups].map(([key, n]) => {
        const [stage, over, how, file] = JSON.parse(key) as string[];
        return [stage, over, how, n, file];
      })}
    />
  );
}
