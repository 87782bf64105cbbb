import { useState } from 'preact/hooks';
import type { Place } from './api';
import { backingNames, labThings, nameOf, sheetThings, textOf } from './state';
import type { Lab, PreviewReading, Thing, Tone } from './types';
import { Choice, Chip, Field, Tick } from './ui';

// What the rows of a tray are: she picks it for one, some or all of them. What the file calls a row is
// a suggestion, never a key.

export interface Said {
  /// "loss:NAME", "spot:NAME", "newspot", "trial:NAME", "tissue:NAME", "newtissue", "backing",
  /// "file" (what the file says), "later", "out"; "" until it is said.
  what: string;
  /// Of what is new: its name.
  name: string;
  /// A backing's name; "?" where it is not known; "" until it is said.
  over: string;
  stage: string;
  state: string;
}

/// Rows that the file says the same of, or one row.
export interface Line {
  key: string;
  rows: number[];
  label: string;
  n: number;
  role: string;
  backing: string;
  state: string;
  facts: string;
  lab: Lab | null;
  light: string;
  said: Said;
}

const isTone = (one: Tone | undefined): one is Tone => !!one;

const kindOfWhat = (what: string) => what.split(':')[0];
const nameOfWhat = (what: string) => what.slice(what.indexOf(':') + 1);
export const needsOver = (what: string) => ['loss', 'spot', 'newspot', 'trial', 'tissue', 'newtissue'].includes(kindOfWhat(what));
export const needsStage = (what: string) => ['loss', 'spot', 'newspot'].includes(kindOfWhat(what));
const needsName = (what: string) => ['newspot', 'newtissue', 'backing'].includes(what);

export function missing(line: Line): string {
  const { what, over, stage, name } = line.said;
  if (!what) return 'say what it is';
  if (needsName(what) && !name.trim()) return 'give it a name';
  if (needsOver(what) && !over) return 'say over what it was read';
  if (needsStage(what) && !stage.trim()) return 'say when it was read';
  return '';
}

export function whatWords(said: Said): string {
  const name = nameOfWhat(said.what);
  switch (kindOfWhat(said.what)) {
    case 'loss':
      return `the paper beside ${name}`;
    case 'spot':
      return `spot ${name}`;
    case 'newspot':
      return `a new spot: ${said.name || '…'}`;
    case 'trial':
      return name;
    case 'tissue':
      return `tissue ${name}`;
    case 'newtissue':
      return `a new tissue: ${said.name || '…'}`;
    case 'backing':
      return `what lies behind: ${said.name || '…'}`;
    case 'file':
      return 'as the file says';
    case 'later':
      return 'not said yet';
    case 'out':
      return 'left out';
    default:
      return '';
  }
}

const isBackingName = (name: string) => /\b(black|white|tile|board|backing|trap|behind)\b/i.test(name);

/// What a row probably is: where she stands, then what its file says. She can change all of it.
export function suggested(r: { name: string; role: string; backing: string; state: string }, place: Place, stage: string, over: string): Said {
  const said: Said = { what: '', name: r.name, over: r.backing || over, stage, state: r.state || 'dry' };
  const known = (kind: string) =>
    (place.sheet && kind !== 'tissue' ? sheetThings(place.sheet, kind) : labThings(kind)).some((t) => nameOf(t) === r.name);
  if (r.role === 'backing') return { ...said, what: 'backing' };
  if (['swatch', 'substrate'].includes(r.role)) return { ...said, what: 'file' };
  if (r.role === 'tissue' || (!r.role && known('tissue'))) return { ...said, what: known('tissue') ? `tissue:${r.name}` : 'newtissue' };
  const own = place.trial ? `trial:${place.trial}` : place.loss ? `loss:${place.loss}` : place.spot ? `spot:${place.spot}` : '';
  if (own) return { ...said, what: own };
  if (!place.sheet) return { ...said, what: isBackingName(r.name) ? 'backing' : r.role === 'target' ? 'file' : '' };
  for (const kind of ['trial', 'loss', 'spot']) if (known(kind)) return { ...said, what: `${kind}:${r.name}` };
  return said;
}

const factsOf = (r: PreviewReading) => {
  const loads = Object.entries(r.loads ?? {})
    .filter(([, load]) => load > 0)
    .map(([name, load]) => `${name} ${load}`)
    .join(', ');
  return [r.plies ? `${r.plies} plies` : '', loads, r.geometry, r.condition, r.instrument].filter(Boolean).join(', ');
};

export function linesOf(
  readings: PreviewReading[],
  colours: (Tone | undefined)[],
  place: Place,
  stage: string,
  over: string,
): Line[] {
  const lines = new Map<string, Line>();
  const byRow = new Map(colours.filter(isTone).map((tone) => [Number(tone.name), tone]));
  readings.forEach((r, row) => {
    const facts = factsOf(r);
    const key = JSON.stringify([r.name, r.role, r.backing, r.state, facts]);
    const known = lines.get(key);
    if (known) {
      known.rows.push(row);
      ++known.n;
      return;
    }
    const tone = byRow.get(row);
    const plain = { name: r.name, role: r.role ?? '', backing: r.backing ?? '', state: r.state ?? '' };
    lines.set(key, {
      key,
      rows: [row],
      label: r.name,
      n: 1,
      role: plain.role,
      backing: plain.backing,
      state: plain.state,
      facts,
      lab: tone?.lab ?? null,
      light: tone?.light ?? 'D65',
      said: suggested(plain, place, stage, over),
    });
  });
  return [...lines.values()];
}

/// Neighbouring rows of like colour were probably read at one place: a suggestion for her ticks.
export function runsOf(lines: Line[]): number[][] {
  const runs: number[][] = [];
  lines.forEach((line, i) => {
    const last = lines[i - 1];
    const near = last?.lab && line.lab && Math.hypot(...line.lab.map((v, k) => v - last.lab![k])) < 1.5;
    if (near) runs[runs.length - 1].push(i);
    else runs.push([i]);
  });
  return runs;
}

const rowsWords = (rows: number[]): string => {
  const sorted = [...rows].sort((a, b) => a - b);
  const parts: string[] = [];
  for (let i = 0; i < sorted.length; ++i) {
    const from = sorted[i];
    while (sorted[i + 1] === sorted[i] + 1) ++i;
    parts.push(from === sorted[i] ? `${from + 1}` : `${from + 1}–${sorted[i] + 1}`);
  }
  return `${sorted.length === 1 ? 'row' : 'rows'} ${parts.join(', ')}`;
};
/// "0-5,7", as the bench takes it.
export const rowsText = (rows: number[]): string => {
  const sorted = [...rows].sort((a, b) => a - b);
  const parts: string[] = [];
  for (let i = 0; i < sorted.length; ++i) {
    const from = sorted[i];
    while (sorted[i + 1] === sorted[i] + 1) ++i;
    parts.push(from === sorted[i] ? `${from}` : `${from}-${sorted[i]}`);
  }
  return parts.join(',');
};

function whatOptions(place: Place, lines: Line[]): [string, string][] {
  const { sheet } = place;
  const options: [string, string][] = [['', 'choose what they are']];
  const add = (kind: string, things: Thing[]) => {
    for (const thing of things) {
      const what = `${kind}:${nameOf(thing)}`;
      options.push([what, whatWords({ what, name: '', over: '', stage: '', state: '' })]);
    }
  };
  if (sheet) {
    add('loss', sheetThings(sheet, 'loss'));
    add('spot', sheetThings(sheet, 'spot'));
    options.push(['newspot', 'a new spot']);
    add('trial', sheetThings(sheet, 'trial'));
  }
  if (place.tissue) options.push([`tissue:${place.tissue}`, `tissue ${place.tissue}`]);
  options.push(['backing', 'what lies behind: black, white, the mount board']);
  for (const name of new Set(lines.filter((line) => line.said.what === 'newtissue' && line.said.name !== line.label).map((line) => line.said.name)))
    if (name) options.push([`again:${name}`, `the new tissue ${name}`]);
  options.push(['newtissue', 'a tissue that is new in the drawer']);
  add('tissue', labThings('tissue'));
  if (lines.some((line) => line.role)) options.push(['file', 'what the file says of them']);
  if (sheet) options.push(['later', 'I say it later']);
  options.push(['out', 'leave them out: a slip']);
  return options;
}

/// Words that all ticked lines share; '' where they differ.
const shared = (lines: Line[], of: (said: Said) => string): string => {
  const all = new Set(lines.map((line) => of(line.said)));
  return all.size === 1 ? [...all][0] : '';
};

export function stagesOf(sheet: string | undefined): string[] {
  const kept = sheet ? sheetThings(sheet, 'reading').map((r) => textOf(r, 'stage')) : [];
  const baths = sheet ? sheetThings(sheet, 'bath').map((b) => `after ${nameOf(b)}`) : [];
  return [...new Set(['before', ...kept, ...baths, 'after bath 1', 'after'].filter(Boolean))];
}

/// The lines of a tray with their ticks, and one row of questions for those that are ticked.
export function Lines(props: {
  lines: Line[];
  place: Place;
  /// Backings that are being brought in the same tray.
  brought: string[];
  onChange: (lines: Line[]) => void;
  stageNeeded: boolean;
}) {
  const { lines, place } = props;
  // Ticks go by a line's key: a row that is left out becomes a line of its own.
  const all = lines.map((line) => line.key);
  const open = lines.filter(missing).map((line) => line.key);
  const [ticked, setTicked] = useState<string[]>(open.length ? open : all);
  const [look, setLook] = useState(lines.length <= 12 || open.length > 0);
  const [whole, setWhole] = useState(false);
  const [other, setOther] = useState(false);
  const chosen = lines.filter((line) => ticked.includes(line.key));
  const set = (change: Partial<Said>) =>
    props.onChange(lines.map((line) => (ticked.includes(line.key) ? { ...line, said: { ...line.said, ...change } } : line)));
  const what = shared(chosen, (s) => s.what);
  const over = shared(chosen, (s) => s.over);
  // Rows of unlike places still have one stage and one backing.
  const allAsk = (asks: (what: string) => boolean) => chosen.length > 0 && chosen.every((line) => asks(line.said.what));
  const runs = runsOf(lines);
  const overs = [...new Set([...backingNames(), ...props.brought, ...lines.map((line) => line.backing), over].filter((n) => n && n !== '?'))];
  const shown = whole || lines.length <= 40 ? lines : lines.slice(0, 40);
  const tickNext = () => {
    const still = runs.map((run) => run.map((i) => lines[i]).filter((line) => missing(line) && !ticked.includes(line.key)));
    const next = still.find((run) => run.length);
    if (next) setTicked(next.map((line) => line.key));
  };
  const rest = open.filter((key) => !ticked.includes(key));
  if (!look) {
    const counts = new Map<string, number>();
    for (const line of lines) {
      const words = kindOfWhat(line.said.what) === 'backing' ? 'what lies behind' : line.said.what === 'newtissue' ? 'tissues that are new in the drawer' : whatWords(line.said);
      counts.set(words, (counts.get(words) ?? 0) + line.n);
    }
    return (
      <div class="lines">
        <ul>
          {[...counts].map(([words, n]) => (
            <li>
              {n} {n === 1 ? 'reading' : 'readings'}: {words}
            </li>
          ))}
        </ul>
        <button type="button" class="act quiet" onClick={() => setLook(true)}>
          Look at each row
        </button>
      </div>
    );
  }
  const one = chosen.length === 1;
  return (
    <div class="lines">
      {lines.length > 1 && (
        <div class="acts" role="group" aria-label="Which rows">
          <button type="button" class="act quiet" aria-pressed={chosen.length === lines.length} onClick={() => setTicked(all)}>
            All rows
          </button>
          {runs.length > 1 &&
            runs.length <= 12 &&
            runs.map((run) => (
              <button
                type="button"
                class="act quiet"
                aria-pressed={run.length === chosen.length && run.every((i) => ticked.includes(lines[i].key))}
                onClick={() => setTicked(run.map((i) => lines[i].key))}
              >
                {rowsWords(run.flatMap((i) => lines[i].rows)).replace(/^r/, 'R')}
              </button>
            ))}
          {rest.length > 0 && rest.length < lines.length && (
            <button type="button" class="act quiet" onClick={() => setTicked(rest)}>
              The {rest.length} that are not said yet
            </button>
          )}
        </div>
      )}
      {chosen.length > 0 && (
        <fieldset class="say">
          <legend>
            {chosen.length === lines.length && lines.length > 1 ? 'All rows' : rowsWords(chosen.flatMap((line) => line.rows)).replace(/^r/, 'R')}:
          </legend>
          <div class="fields">
            <Choice
              label={one && chosen[0].n === 1 ? 'It is' : 'They are'}
              value={what}
              options={whatOptions(place, lines)}
              onChange={(next) => set(next.startsWith('again:') ? { what: 'newtissue', name: nameOfWhat(next) } : { what: next })}
            />
            {needsName(what) && (
              <Field
                label={what === 'newspot' ? 'Name of the spot' : what === 'backing' ? 'What lies behind is called' : 'Name of the tissue'}
                value={shared(chosen, (s) => s.name)}
                onInput={(name) => set({ name })}
                list={what === 'backing' ? ['black tile', 'white tile', 'mount board'] : undefined}
                help={chosen.length > 1 ? 'blank: each keeps the name that its file has' : undefined}
              />
            )}
            {allAsk(needsOver) && (
              <Choice
                label="Read over"
                value={other ? '+' : over}
                options={[['', 'choose what lay behind'], ...overs.map((n): [string, string] => [n, n]), ['+', 'something else'], ['?', 'I do not know']]}
                onChange={(next) => {
                  setOther(next === '+');
                  const over = next === '+' ? '' : next;
                  set({ over });
                  // The last question of these rows: the next ones that are not said are ticked.
                  if (over && chosen.every((line) => !missing({ ...line, said: { ...line.said, over } }))) tickNext();
                }}
              />
            )}
            {allAsk(needsOver) && other && (
              <Field label="What lay behind is called" value={over} onInput={(name) => set({ over: name })} list={['black tile', 'white tile', 'mount board']} />
            )}
            {allAsk(needsStage) && (
              <Field label="Read when" value={shared(chosen, (s) => s.stage)} onInput={(stage) => set({ stage })} list={stagesOf(place.sheet)} />
            )}
            {what && !['out', 'later', 'backing'].includes(what) && (
              <Choice
                label="It was"
                value={shared(chosen, (s) => s.state)}
                options={['dry', 'pasted', 'sized', 'wet', ['', 'not known']]}
                onChange={(state) => set({ state })}
              />
            )}
          </div>
        </fieldset>
      )}
      <ul class="plain row-list">
        {shown.map((line) => {
          const lacks = missing(line);
          return (
            <li class={line.said.what === 'out' ? 'out' : ''}>
              <Tick
                on={ticked.includes(line.key)}
                onChange={(on) => setTicked(on ? [...ticked, line.key] : ticked.filter((key) => key !== line.key))}
                label={
                  <span class="row-line">
                    {line.lab ? <Chip lab={line.lab} light={line.light} bare /> : <span />}
                    <span>
                      <strong>{rowsWords(line.rows).replace(/^r/, 'R')}</strong>{' '}
                      <span class="quietly">
                        called ‘{line.label}’{line.facts && `, ${line.facts}`}
                      </span>
                    </span>
                    <span>
                      {lacks ? (
                        <strong>
                          <span aria-hidden="true">? </span>
                          {lacks}
                        </strong>
                      ) : (
                        <>
                          {whatWords(line.said)}
                          {needsOver(line.said.what) && (line.said.over === '?' ? ', backing not known' : `, over ${line.said.over}`)}
                          {needsStage(line.said.what) && `, ${line.said.stage}`}
                          {line.said.state !== 'dry' && line.said.state && `, ${line.said.state}`}
                        </>
                      )}
                    </span>
                  </span>
                }
              />
            </li>
          );
        })}
      </ul>
      {shown.length < lines.length && (
        <button type="button" class="act quiet" onClick={() => setWhole(true)}>
          Show all {lines.length}
        </button>
      )}
    </div>
  );
}

// ---- from what she said to the record's columns

const idOf = (kind: string, name: string, sheet: string | undefined): string => {
  const things = sheet && kind !== 'tissue' ? sheetThings(sheet, kind) : labThings(kind);
  const thing = things.find((one) => nameOf(one) === name);
  if (!thing) throw new Error(`‘${name}’ is not in the record any more. Choose again what was read`);
  return `#${thing.id}`;
};

const links = ['sheet', 'spot', 'loss', 'trial', 'tissue'] as const;

/// The columns of readings that are `said`. All links are written, so that none is left from before.
export function columnsSaid(said: Said, sheet: string | undefined): Record<string, string> {
  const kind = kindOfWhat(said.what);
  const none = Object.fromEntries(links.map((link) => [link, ''])) as Record<string, string>;
  const over = said.over === '?' ? '' : said.over.trim();
  const sheetId = sheet ? idOf('sheet', nameOf(sheetThings(sheet, 'sheet')[0]), sheet) : '';
  const read = { backing: over, state: said.state };
  switch (kind) {
    case 'loss':
    case 'spot':
    case 'newspot': {
      const name = kind === 'newspot' ? said.name.trim() : nameOfWhat(said.what);
      const link = kind === 'newspot' ? 'spot' : kind;
      return { ...none, ...read, name, role: 'target', stage: said.stage.trim(), sheet: sheetId, [link]: idOf(link, name, sheet) };
    }
    case 'trial':
      return { ...none, ...read, name: nameOfWhat(said.what), role: 'trial', trial: idOf('trial', nameOfWhat(said.what), sheet) };
    case 'tissue':
    case 'newtissue': {
      const name = kind === 'newtissue' ? said.name.trim() : nameOfWhat(said.what);
      return { ...none, ...read, name, role: 'tissue', tissue: idOf('tissue', name, undefined) };
    }
    case 'backing':
      return { ...none, name: said.name.trim(), role: 'backing' };
    case 'file':
      return { ...(said.over ? { backing: over } : {}), ...(said.state ? { state: said.state } : {}) };
    default:
      return {};
  }
}

/// What the program itself makes of a row as it is kept, so that only what differs is written.
function byItself(line: Line, place: Place): Record<string, string> {
  const { sheet } = place;
  const ofSheet = ['', 'target'].includes(line.role);
  const find = (kind: string, name: string) => {
    const things = kind === 'tissue' ? labThings(kind) : sheet ? sheetThings(sheet, kind) : [];
    const thing = things.find((one) => nameOf(one) === name);
    return thing ? `#${thing.id}` : '';
  };
  const linked = (kind: 'spot' | 'loss' | 'trial' | 'tissue') => (place[kind] ? find(kind, place[kind]!) : '');
  const out: Record<string, string> = {
    name: line.label,
    role: line.role,
    backing: line.backing,
    state: line.state,
    stage: place.stage ?? '',
    sheet: ofSheet && sheet ? find('sheet', nameOf(sheetThings(sheet, 'sheet')[0])) : '',
    spot: ofSheet ? linked('spot') : '',
    loss: ofSheet ? linked('loss') : '',
    trial: linked('trial'),
    tissue: linked('tissue'),
  };
  if (ofSheet && sheet && !place.spot) out.spot = find('spot', line.label) || out.spot;
  if (ofSheet && sheet && !out.spot && !place.loss) out.loss = find('loss', line.label);
  if (line.role === 'tissue' && !place.tissue) out.tissue = find('tissue', line.label);
  return out;
}

export interface SaidOfRows {
  rows: string;
  columns?: Record<string, string>;
  left_out?: string;
}

/// What is sent beside the file, like lines together.
export function saidOfRows(lines: Line[], place: Place): SaidOfRows[] {
  const groups = new Map<string, { rows: number[]; said: Omit<SaidOfRows, 'rows'> }>();
  for (const line of lines) {
    let said: Omit<SaidOfRows, 'rows'>;
    if (line.said.what === 'out') {
      said = { left_out: 'left out as the readings were kept: a slip' };
    } else {
      const itself = byItself(line, place);
      const columns = Object.fromEntries(
        Object.entries(columnsSaid(line.said, place.sheet)).filter(([name, value]) => value !== (itself[name] ?? '')),
      );
      if (!Object.keys(columns).length) continue;
      said = { columns };
    }
    const key = JSON.stringify(said);
    const group = groups.get(key) ?? { rows: [], said };
    group.rows.push(...line.rows);
    groups.set(key, group);
  }
  return [...groups.values()].map(({ rows, said }) => ({ rows: rowsText(rows), ...said }));
}

/// Where all lines belong, if that is one place: the file is then kept there at once.
export function commonPlace(lines: Line[], place: Place): Place {
  const kept = lines.filter((line) => line.said.what !== 'out');
  const kinds = new Set(kept.map((line) => line.said.what));
  const stages = new Set(kept.filter((line) => needsStage(line.said.what)).map((line) => line.said.stage.trim()));
  const only = kinds.size === 1 ? [...kinds][0] : '';
  const kind = kindOfWhat(only);
  const common: Place = { sheet: place.sheet, instrument: place.instrument, stage: stages.size === 1 ? [...stages][0] : '' };
  if (['loss', 'spot', 'trial', 'tissue'].includes(kind)) return { ...common, [kind]: nameOfWhat(only) };
  return common;
}

/// Rows that are repeats of one place, for the bench to say whether they agree.
export function groupsOfLines(lines: Line[]): { words: string; rows: number[]; said: Said }[] {
  const groups = new Map<string, { words: string; rows: number[]; said: Said }>();
  for (const line of lines) {
    const { what, name, over, stage, state } = line.said;
    if (!what || ['out', 'later', 'file'].includes(what)) continue;
    const key = JSON.stringify([what, needsName(what) ? name : '', needsOver(what) ? over : '', needsStage(what) ? stage : '', state]);
    const group = groups.get(key) ?? {
      words: `${whatWords(line.said)}${needsOver(what) && over && over !== '?' ? `, over ${over}` : ''}`,
      rows: [],
      said: line.said,
    };
    group.rows.push(...line.rows);
    groups.set(key, group);
  }
  return [...groups.values()];
}

/// One row of a line becomes a line of its own that is left out.
export function withoutRow(lines: Line[], row: number): Line[] {
  return lines.flatMap((line) => {
    if (!line.rows.includes(row)) return [line];
    const others = line.rows.filter((one) => one !== row);
    const out: Line = { ...line, key: `${line.key}#${row}`, rows: [row], n: 1, said: { ...line.said, what: 'out' } };
    return others.length ? [{ ...line, rows: others, n: others.length }, out] : [out];
  });
}
