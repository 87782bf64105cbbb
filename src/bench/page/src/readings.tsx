import { useEffect, useRef, useState } from 'preact/hooks';
import { api, type Place } from './api';
import { remember, remembered } from './brought';
import { cellsOf, completed, csvOf, hasHeading, markFor } from './csv';
import { FilePick } from './sheet';
import { unplaced } from './standing';
import {
  backingNames,
  kindOf,
  labThings,
  loadRecord,
  loadSheet,
  nameOf,
  say,
  sheetThings,
  state,
  tabName,
  textOf,
  useDraft,
  useLoaded,
  wordsOf,
} from './state';
import {
  commonPlace,
  groupsOfLines,
  Lines,
  linesOf,
  missing,
  needsOver,
  rowsText,
  saidOfRows,
  columnsSaid,
  withoutRow,
  type Line,
  type Said,
} from './tray';
import type { Preview, Thing } from './types';
import { Act, Arrives, Chip, Choice, Field, fixed, Fold, labWords, Nothing, numberIn, Pick, signer, stamp, Warnings } from './ui';

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

/// Whether repeats of one place agree, as the engine judges them.
function Agreement(props: { batch: Batch; lines: Line[]; onLeaveOut: (row: number) => void }) {
  const groups = groupsOfLines(props.lines);
  const [whole, setWhole] = useState(false);
  const asked = groups.map((group) => rowsText(group.rows)).join(';');
  const { batch } = props;
  const looked = useLoaded(`agree ${batch.name} ${asked}`, async () =>
    asked ? (await api.preview(batch.name, batch.bytes, batch.scale, batch.wavelengths, asked)).groups ?? [] : [],
  );
  const tones = looked.value;
  if (!tones?.length) return null;
  const told = groups
    .map((group, i) => ({ group, tones: tones.filter((tone) => tone.name === String(i)) }))
    .filter((one) => one.tones.length);
  return (
    <div class="agreement" aria-live="polite">
      {(told.length > 3 && !whole ? told.filter((one) => one.tones.some((tone) => tone.outliers.length)) : told).map(({ group, tones: here }) =>
        here.map((tone) => (
          <div>
            <p>
              <Chip lab={tone.lab} light={tone.light} bare />
              <span>
                {group.words}: {tone.n} {tone.n === 1 ? 'reading' : 'readings'}
                {tone.spread_de00 !== null && `, which differ from their mean by ΔE00 ${fixed(tone.spread_de00)}`}.{' '}
                <span class="figures quietly">
                  {labWords(tone.lab)} under {tone.light}, {tone.observer} degrees
                </span>
              </span>
            </p>
            {tone.outliers.map((row) => (
              <div class="acts">
                <strong>
                  <span aria-hidden="true">! </span>Row {row} stands apart from the others.
                </strong>
                <button type="button" class="act" onClick={() => props.onLeaveOut(Number(row) - 1)}>
                  Leave row {row} out
                </button>
              </div>
            ))}
          </div>
        )),
      )}
      {told.length > 3 && !whole && (
        <button type="button" class="act quiet" onClick={() => setWhole(true)}>
          {told.some((one) => one.tones.some((tone) => tone.outliers.length)) ? 'Show the others too' : `No row stands apart. Show all ${told.length} colours`}
        </button>
      )}
    </div>
  );
}

/// How much is left of tissues that are new in the drawer.
function NewTissues(props: { names: string[]; left: Record<string, string>; onLeft: (left: Record<string, string>) => void }) {
  if (!props.names.length) return null;
  return (
    <Fold title={`New in the drawer: ${props.names.length}. Say how much is left of each`}>
      <p class="help">In cm², blank where it is not known. Lot and weight are taken from the file.</p>
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
    </Fold>
  );
}

/// The instrument that L*a*b* were typed from last, and the light and observer that it shows them for:
/// asked once, kept with the instrument.
function useInstrument(draft: string) {
  const kept = labThings('instrument');
  const [typed, setTyped] = useDraft(`instrument.${draft}`, { name: '', light: '', observer: '' });
  const name = typed.name || (kept.length === 1 ? nameOf(kept[0]) : '');
  const thing = kept.find((one) => nameOf(one) === name);
  const light = typed.light || (thing ? textOf(thing, 'lab_light') : '');
  const observer = typed.observer || (thing ? textOf(thing, 'lab_observer_deg') || textOf(thing, 'lab_observer') : '');
  const known = !!thing && !!textOf(thing, 'lab_light') && !typed.light;
  const keep = async (by: string) => {
    if (!name.trim() || known) return;
    const observerColumn = kindOf('instrument')?.columns.find((c) => c.name.startsWith('lab_observer'))?.name;
    const columns = { lab_light: light, ...(observerColumn ? { [observerColumn]: observer } : {}) };
    await api.keep(
      thing
        ? { kind: 'instrument', thing: `#${thing.id}`, columns, why: 'the light and observer of the L*a*b* that it shows', by }
        : { kind: 'instrument', columns: { name: name.trim(), ...columns }, by },
    );
    await loadRecord();
  };
  return { name, light, observer, known, keep, set: (change: Partial<typeof typed>) => setTyped((old) => ({ ...old, ...change })) };
}

function TypedLab(props: { name: string; role: string; draft: string; onBatch: (batch: Batch) => void }) {
  const [rows, setRows, clear] = useDraft<string[][]>(`lab.${props.draft}`, [['', '', '']]);
  const instrument = useInstrument(props.draft);
  const look = async () => {
    const full = rows.filter((row) => row.some((cell) => cell.trim()));
    if (!full.length) throw new Error('Type L*, a* and b* of at least one reading');
    full.forEach((row, i) => {
      row.forEach((cell, c) => {
        if (numberIn(cell) === null)
          throw new Error(`Reading ${i + 1}: ${['L*', 'a*', 'b*'][c]} must be a number; found ‘${cell}’`);
      });
    });
    if (!instrument.light || !instrument.observer)
      throw new Error('Choose the light and the observer that the instrument shows its L*a*b* for. Its handbook or its screen says them');
    const by = signer();
    if (!by) return;
    await instrument.keep(by);
    const heading = ['name', 'repeat', 'role', 'instrument', 'light', 'observer', 'L*', 'a*', 'b*'];
    const body = full.map((row, i) => [
      props.name || 'typed',
      String(i + 1),
      props.role,
      instrument.name.trim(),
      instrument.light,
      instrument.observer,
      ...row.map((cell) => cell.trim().replace(',', '.').replace('−', '-')),
    ]);
    props.onBatch(batchOf(`typed ${stamp()}.csv`, new Blob([csvOf([heading, ...body])])));
    clear();
  };
  const setCell = (r: number, c: number, value: string) =>
    setRows(rows.map((row, i) => (i === r ? row.map((cell, k) => (k === c ? value : cell)) : row)));
  return (
    <div>
      <div class="fields">
        <Field
          label="Instrument"
          value={instrument.name}
          onInput={(name) => instrument.set({ name, light: '', observer: '' })}
          list={labThings('instrument').map(nameOf)}
          help={instrument.known ? `shows L*a*b* for ${instrument.light}, ${instrument.observer} degrees` : 'its light and observer are kept with it'}
        />
        {!instrument.known && (
          <>
            <Choice
              label="Light of its L*a*b*"
              value={instrument.light}
              options={[['', 'choose'], ...(state.record?.lights?.length ? state.record.lights : ['D50', 'D65']).map((l): [string, string] => [l, l])]}
              onChange={(light) => instrument.set({ light })}
              needed
            />
            <Choice
              label="Observer"
              value={instrument.observer}
              options={[
                ['', 'choose'],
                ['2', '2 degrees'],
                ['10', '10 degrees'],
              ]}
              onChange={(observer) => instrument.set({ observer })}
              needed
            />
          </>
        )}
      </div>
      {rows.map((row, r) => (
        <div class="triple" role="group" aria-label={`Reading ${r + 1}`}>
          <span class="quietly">Reading {r + 1}</span>
          {['L*', 'a*', 'b*'].map((label, c) => (
            <Field label={label} type="number" value={row[c]} onInput={(value) => setCell(r, c, value)} />
          ))}
        </div>
      ))}
      <div class="acts">
        <Act quiet onAct={() => setRows([...rows, ['', '', '']])}>
          One more repeat
        </Act>
        <Act main onAct={look}>
          See what is understood
        </Act>
      </div>
      <p class="help">L*a*b* alone holds for its light: a fill can then be ranked under that light only.</p>
    </div>
  );
}

function Pasted(props: { name: string; role: string; draft: string; said?: Record<string, string>; onBatch: (batch: Batch) => void }) {
  const [text, setText, clear] = useDraft(`paste.${props.draft}`, '');
  const look = () => {
    const rows = cellsOf(text);
    if (rows.length < 2 || !hasHeading(rows))
      throw new Error('Paste a heading row (name, wavelengths in nm or L*, a*, b* …) and at least one row below it');
    const whole = completed(rows, { name: props.name || 'pasted', role: props.role, ...props.said });
    props.onBatch(batchOf(`pasted ${stamp()}.csv`, new Blob([csvOf(whole, markFor(whole))])));
    clear();
  };
  return (
    <div>
      <Field
        label="Cells from a spreadsheet"
        type="area"
        wide
        value={text}
        onInput={setText}
        help="With their heading row: name, then a column for each wavelength, headed by its nm; or L*, a*, b* with light and observer"
      />
      <Act main onAct={look}>
        See what is understood
      </Act>
    </div>
  );
}

/// What a batch is called on the page: what was typed has no file.
export const batchWords = (name: string) =>
  /^typed .*\.csv$/.test(name) ? 'Typed readings' : /^pasted .*\.csv$/.test(name) ? 'Pasted cells' : name;

interface InTray {
  batch: Batch;
  lines: Line[];
}

/// Files that were brought and not kept yet come back after a reload.
function useTray(props: { draft: string; place: Place; stage: string; over: string }) {
  const [tray, setTray] = useState<InTray[]>([]);
  const ready = useRef(false);
  const home = `${location.pathname}${tabName()}`;
  const linesIn = (batch: Batch): Line[] =>
    batch.preview ? linesOf(batch.preview.readings, batch.preview.colours ?? [], props.place, props.stage, props.over) : [];
  const keep = (next: InTray[]) =>
    remember(
      props.draft,
      home,
      next.map(({ batch, lines }) => ({
        name: batch.name,
        bytes: batch.bytes,
        scale: batch.scale,
        wavelengths: batch.wavelengths,
        said: lines.map(({ rows, said }) => ({ rows, said })),
      })),
    );
  const set = (next: InTray[]) => {
    setTray(next);
    void keep(next);
  };
  /// What is new is shown once it would outlive a reload.
  const bring = async (next: InTray[]) => {
    await keep(next);
    setTray(next);
  };
  const looked = async (batch: Batch): Promise<InTray> => {
    const seen = await understood(batch);
    return { batch: seen, lines: linesIn(seen) };
  };
  useEffect(() => {
    let gone = false;
    ready.current = false;
    setTray([]);
    remembered(props.draft, home).then(async (files) => {
      const back: InTray[] = [];
      for (const file of files ?? []) {
        const one = await looked({ ...batchOf(file.name, file.bytes), scale: file.scale, wavelengths: file.wavelengths });
        back.push({ ...one, lines: saidAgain(one.lines, file.said as { rows: number[]; said: Said }[]) });
      }
      if (gone) return;
      ready.current = true;
      if (back.length) setTray((now) => [...back, ...now]);
    });
    return () => {
      gone = true;
    };
  }, [props.draft]);
  return { tray, set, bring, looked };
}

/// Lines as they were left: what was said of their rows, rows that were taken out among them.
function saidAgain(lines: Line[], said: { rows: number[]; said: Said }[]): Line[] {
  if (!Array.isArray(said)) return lines;
  return lines.flatMap((line) => {
    const mine = said.filter((one) => one.rows.some((row) => line.rows.includes(row)));
    return mine.length ? mine.map((one) => ({ ...line, key: `${line.key}#${one.rows[0]}`, rows: one.rows, n: one.rows.length, said: one.said })) : [line];
  });
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
  const [last, setLast] = useDraft(`last.${props.place.sheet ?? ''}`, { stage: 'before', over: '' });
  const backings = backingNames();
  const shown = props.place.sheet ? textOf(sheetThings(props.place.sheet, 'sheet')[0] ?? ({ columns: {} } as Thing), 'shown_over') : '';
  const over = shown || last.over || (backings.length === 1 ? backings[0] : '');
  const { tray, set, bring, looked } = useTray({ draft: props.draft, place: props.place, stage: last.stage, over });
  const [left, setLeft] = useState<Record<string, string>>({});
  const { sheet } = props.place;

  const add = async (fresh: Batch[]) => bring([...tray, ...(await Promise.all(fresh.map(looked)))]);
  const again = async (at: number, batch: Batch) => {
    const next = await looked(batch);
    set(tray.map((one, i) => (i === at ? next : one)));
  };
  const tell = (at: number, lines: Line[]) => set(tray.map((one, i) => (i === at ? { ...one, lines } : one)));
  const drop = (at: number) => set(tray.filter((_, i) => i !== at));

  const good = tray.filter((one) => one.batch.preview);
  const lines = good.flatMap((one) => one.lines);
  const brought = [...new Set(lines.filter((line) => line.said.what === 'backing').map((line) => line.said.name))];
  const fresh = lines.filter((line) => line.said.what === 'newtissue');
  const newTissues = [...new Set(fresh.map((line) => line.said.name.trim()))].filter(Boolean);
  const lacking = lines.filter(missing);

  /// Tissues that are named as their file names them come with lot and weight; others by name alone.
  const enterTissues = async (by: string): Promise<boolean> => {
    const plain = lines.filter((line) => line.role === 'tissue').every((line) => ['newtissue', 'file', 'out'].includes(line.said.what) ? line.said.what !== 'newtissue' || line.said.name.trim() === line.label : line.said.what === `tissue:${line.label}`);
    const byFile = plain && fresh.every((line) => line.role === 'tissue');
    if (byFile) return fresh.length > 0;
    const known = new Set(labThings('tissue').map(nameOf));
    for (const name of newTissues.filter((one) => !known.has(one))) await api.keep({ kind: 'tissue', columns: { name }, by });
    return false;
  };
  const enterSpots = async (by: string) => {
    const known = new Set(sheet ? sheetThings(sheet, 'spot').map(nameOf) : []);
    const names = new Set(lines.filter((line) => line.said.what === 'newspot').map((line) => line.said.name.trim()));
    for (const name of names) if (!known.has(name)) await api.keep({ kind: 'spot', columns: { sheet: sheet!, name }, by });
  };
  const sayLeft = async (by: string) => {
    for (const tissue of labThings('tissue').filter((t) => newTissues.includes(nameOf(t)) && left[nameOf(t)]?.trim()))
      await api.keep({
        kind: 'tissue',
        thing: `#${tissue.id}`,
        columns: { left_cm2: left[nameOf(tissue)].trim().replace(',', '.') },
        why: 'how much is left, said with its first readings',
        by,
      });
    if (Object.keys(left).length) await loadRecord();
    setLeft({});
  };
  const keep = async () => {
    const by = signer();
    if (!by) return;
    if (lacking.length) throw new Error(`Not kept yet. First ${missing(lacking[0])}: ${lacking[0].label}`);
    for (const name of newTissues)
      if (left[name]?.trim() && numberIn(left[name]) === null)
        throw new Error(`${name}: what is left must be a number of cm²; found ‘${left[name]}’`);
    const newByFile = await enterTissues(by);
    await enterSpots(by);
    await Promise.all([loadRecord(), sheet ? loadSheet(sheet) : Promise.resolve()]);
    const kept: InTray[] = [];
    const before: string[] = [];
    let refused: unknown = null;
    for (const one of good) {
      const { batch } = one;
      // Tissues that the file itself enters are linked by their names as it is kept.
      const own = one.lines.map((line): Line => (newByFile && line.said.what === 'newtissue' ? { ...line, said: { ...line.said, what: 'file' } } : line));
      try {
        const place = commonPlace(own, props.place);
        const { files } = await api.readings(batch.name, batch.bytes, place, by, {
          scale: batch.scale,
          wavelengths: batch.wavelengths,
          newTissues: newByFile,
          said: saidOfRows(own, place),
        });
        if (files?.some((file) => file.already)) before.push(batch.name);
        kept.push(one);
      } catch (error) {
        refused = error;
      }
    }
    set(tray.filter((one) => !kept.includes(one)));
    const placed = lines.find((line) => needsOver(line.said.what));
    if (placed) setLast({ stage: placed.said.stage || last.stage, over: placed.said.over === '?' ? last.over : placed.said.over });
    await Promise.all([loadRecord(), sheet ? loadSheet(sheet) : Promise.resolve()]);
    await sayLeft(by);
    if (kept.length) sayKept(kept, before);
    await props.onKept?.(
      kept.map((one) => one.batch.name),
      kept.map((one) => one.batch),
    );
    if (refused) throw refused;
  };

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
      {tray.length > 0 && (
        <Arrives of={tray.length}>
          <div class="batches">
            {tray.map(({ batch, lines: own }, i) => (
              <section class="batch" aria-label={batchWords(batch.name)} key={batch.name}>
                <div class="batch-head">
                  <h3>
                    {batchWords(batch.name)}
                    {batch.preview && (
                      <span class="quietly">
                        {' '}
                        {batch.preview.count} {batch.preview.count === 1 ? 'reading' : 'readings'}
                      </span>
                    )}
                  </h3>
                  <button type="button" class="act quiet" aria-label={`Put away ${batchWords(batch.name)}`} onClick={() => drop(i)}>
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
                    onChange={(scale) => void again(i, { ...batch, scale })}
                  />
                )}
                {(/wavelengths/.test(batch.trouble) || batch.wavelengths) && (
                  <Wavelengths value={batch.wavelengths} onLook={(wavelengths) => again(i, { ...batch, wavelengths })} />
                )}
                {batch.preview && (
                  <>
                    <Lines lines={own} place={props.place} brought={brought} onChange={(next) => tell(i, next)} stageNeeded={!!props.stage} />
                    <Agreement batch={batch} lines={own} onLeaveOut={(row) => tell(i, withoutRow(own, row))} />
                    <Warnings items={batch.preview.warnings} />
                  </>
                )}
              </section>
            ))}
            {good.length > 0 && (
              <>
                <NewTissues names={newTissues} left={left} onLeft={setLeft} />
                {lacking.length > 0 && (
                  <p class="lacking">
                    <span aria-hidden="true">? </span>
                    {lacking.length === 1 ? 'One line is' : `${lacking.length} lines are`} not complete: {missing(lacking[0])}.
                  </p>
                )}
                <Act main onAct={keep} disabled={lacking.length > 0}>
                  Keep {good.length === 1 ? 'these readings' : `the readings of ${good.length} files`}
                </Act>
                <p class="help">Nothing is in the record until then.</p>
              </>
            )}
          </div>
        </Arrives>
      )}
    </div>
  );
}

function sayKept(kept: InTray[], before: string[]) {
  const lines = kept.filter((one) => !before.includes(one.batch.name)).flatMap((one) => one.lines);
  const n = lines.filter((line) => line.said.what !== 'out').reduce((sum, line) => sum + line.n, 0);
  const later = lines.filter((line) => line.said.what === 'later').reduce((sum, line) => sum + line.n, 0);
  const names = kept.map((one) => batchWords(one.batch.name)).join(', ');
  if (!lines.length) return say(`${names}: these very readings are in the record already. Nothing was added`);
  const words = `${n} ${n === 1 ? 'reading' : 'readings'} of ${names} ${n === 1 ? 'is' : 'are'} in the record`;
  say(later ? `${words}. What ${later} of them are is not said yet` : words);
}

/// Readings that are kept, with what was said of them; it can be said anew for one, some or all.
export function KeptReadings(props: { sheet: string; readings: Thing[]; place: Place; title: string; open?: boolean }) {
  const { sheet, readings } = props;
  const [lines, setLines] = useState<Line[] | null>(null);
  if (!readings.length) return null;
  const was = keptLines(readings, props.place);
  const fresh = () => setLines(was);
  const change = async () => {
    const by = signer();
    if (!by || !lines) return;
    const lacking = lines.filter(missing);
    if (lacking.length) throw new Error(`Not changed yet. First ${missing(lacking[0])}: ${lacking[0].label}`);
    const newSpots = new Set(lines.filter((line) => line.said.what === 'newspot').map((line) => line.said.name.trim()));
    const known = new Set(sheetThings(sheet, 'spot').map(nameOf));
    for (const name of newSpots) if (!known.has(name)) await api.keep({ kind: 'spot', columns: { sheet, name }, by });
    if (newSpots.size) await loadSheet(sheet);
    const groups = new Map<string, { ids: string[]; said: Said }>();
    lines.forEach((line, i) => {
      if (JSON.stringify(was[i].said) === JSON.stringify(line.said) && !line.rows.some((row) => isLoose(readings[row]))) return;
      const key = JSON.stringify(line.said);
      const group = groups.get(key) ?? { ids: [], said: line.said };
      group.ids.push(...line.rows.map((row) => `#${readings[row].id}`));
      groups.set(key, group);
    });
    if (!groups.size) throw new Error('Nothing was changed, so there is nothing to keep');
    let n = 0;
    for (const { ids, said } of groups.values()) {
      n += ids.length;
      if (said.what === 'out')
        for (const thing of ids) await api.withdraw({ kind: 'reading', thing, why: 'left out: a slip', by });
      else if (said.what !== 'later')
        await api.correctAll({ things: ids, columns: columnsSaid(said, sheet), why: 'said after it was kept', by });
    }
    setLines(null);
    await Promise.all([loadRecord(), loadSheet(sheet)]);
    say(`Changed: what ${n} ${n === 1 ? 'reading is' : 'readings are'}`);
  };
  if (!lines && !props.open)
    return (
      <button type="button" class="act quiet" onClick={fresh}>
        {props.title}
      </button>
    );
  const shown = lines ?? was;
  return (
    <div class="kept-readings">
      <Lines lines={shown} place={props.place} brought={[]} onChange={setLines} stageNeeded={false} />
      <div class="acts">
        <Act main onAct={change} disabled={!lines || lines.some(missing)}>
          Keep what I said
        </Act>
        {!props.open && (
          <button type="button" class="act quiet" onClick={() => setLines(null)}>
            Leave it as it was
          </button>
        )}
      </div>
    </div>
  );
}

const isLoose = (r: Thing) => !['spot', 'loss', 'trial', 'tissue'].some((link) => r.links[link]);

/// Readings that are kept, those together of which the same was said.
function keptLines(readings: Thing[], place: Place): Line[] {
  const lines = new Map<string, Line>();
  readings.forEach((r, row) => {
    const line = keptLine(r, row, place);
    const key = JSON.stringify([line.label, line.said, line.facts, isLoose(r)]);
    const known = lines.get(key);
    if (!known) lines.set(key, { ...line, key });
    else {
      known.rows.push(row);
      ++known.n;
    }
  });
  return [...lines.values()];
}

function keptLine(r: Thing, row: number, place: Place): Line {
  const kind = ['loss', 'spot', 'trial', 'tissue'].find((link) => r.links[link]);
  const what = kind ? `${kind}:${r.links[kind].replace(/^.*\//, '')}` : textOf(r, 'role') === 'backing' ? 'backing' : '';
  const own = place.loss ? `loss:${place.loss}` : place.spot ? `spot:${place.spot}` : '';
  return {
    key: String(r.id),
    rows: [row],
    label: textOf(r, 'name'),
    n: 1,
    role: textOf(r, 'role'),
    backing: textOf(r, 'backing'),
    state: textOf(r, 'state'),
    facts: r.links.file ? `from ${batchWords(r.links.file)}` : '',
    lab: null,
    light: 'D65',
    said: {
      what: what || own,
      name: textOf(r, 'name'),
      over: textOf(r, 'backing') || (what ? '?' : ''),
      stage: textOf(r, 'stage') || (what ? '' : 'before'),
      state: textOf(r, 'state'),
    },
  };
}

/// Readings of the sheet without a place: offered wherever they may belong.
export function Unplaced({ sheet, place }: { sheet: string; place: Place }) {
  const loose = unplaced(sheet);
  if (!loose.length) return null;
  return (
    <div class="unknown">
      <h3>
        {loose.length === 1 ? 'One reading was kept' : `${loose.length} readings were kept`} without a place
      </h3>
      <KeptReadings sheet={sheet} readings={loose} place={place} title="Say what they are" key={loose.map((r) => r.row).join()} />
    </div>
  );
}

/// What was read of a thing so far.
export function ReadSoFar({ sheet, column, name }: { sheet: string; column: 'spot' | 'loss' | 'trial'; name: string }) {
  const rows = sheetThings(sheet, 'reading').filter((r) => r.links[column] === name || r.links[column] === `${sheet}/${name}`);
  if (!rows.length) return <Nothing>Not read yet.</Nothing>;
  const groups = new Map<string, number>();
  for (const r of rows) {
    const key = JSON.stringify([textOf(r, 'stage'), textOf(r, 'backing'), textOf(r, 'state')]);
    groups.set(key, (groups.get(key) ?? 0) + 1);
  }
  return (
    <>
      <ul class="plain read-so-far">
        {[...groups].map(([key, n]) => {
          const [stage, over, how] = JSON.parse(key) as string[];
          return (
            <li>
              <strong>
                {n} {n === 1 ? 'reading' : 'readings'}
              </strong>{' '}
              {over ? `over ${over}` : 'over something that was not said'}
              {column !== 'trial' && `, ${stage || 'when it was read is not said'}`}
              {how && `, ${how}`}
            </li>
          );
        })}
      </ul>
      <KeptReadings
        key={rows.map((r) => r.row).join()}
        sheet={sheet}
        readings={rows}
        place={{ sheet, [column]: name }}
        title="Change what was said of them"
      />
    </>
  );
}
