import { useEffect, useReducer, useRef, useState } from 'preact/hooks';
import { api, Refusal } from './api';
import type { Computed, Job, Kept, Lab, RecordAnswer, ScreenColour, SheetAnswer, Thing } from './types';

// What the page knows of the record, who is entering, and where she is. Everything else is asked.

interface State {
  record: RecordAnswer | null;
  sheets: Record<string, SheetAnswer>;
  jobs: Job[];
  trouble: string;
  said: string;
  /// What was pressed last: messages stand there, while it is on the page.
  at: string;
  by: string;
  /// The sheet, and on it the loss, that she has in hand while she goes elsewhere.
  inHand: { sheet: string; loss: string };
}

/// Drafts belong to one tab and outlive a reload; who is entering belongs to the machine.
const shelfOf = (key: string) => (key.startsWith('mendtone.draft.') ? sessionStorage : localStorage);
const remembered = (key: string): string => {
  try {
    return shelfOf(key).getItem(key) ?? '';
  } catch {
    return '';
  }
};
const remember = (key: string, value: string | null) => {
  try {
    if (value === null) shelfOf(key).removeItem(key);
    else shelfOf(key).setItem(key, value);
  } catch {
    // Storage is full or forbidden: the page works on, only drafts are not kept.
  }
};

/// A tab's own name: what is brought in one tab is not another's.
export function tabName(): string {
  try {
    const known = sessionStorage.getItem('mendtone.tab');
    if (known) return known;
    const name = String(Math.random()).slice(2);
    sessionStorage.setItem('mendtone.tab', name);
    return name;
  } catch {
    return '';
  }
}

export const state: State = {
  record: null,
  sheets: {},
  jobs: [],
  trouble: '',
  said: '',
  at: '',
  by: remembered('mendtone.by'),
  inHand: { sheet: '', loss: '' },
};

const listeners = new Set<() => void>();
export function changed(change: Partial<State>) {
  Object.assign(state, change);
  listeners.forEach((listener) => listener());
}

/// The places on the page where a message may stand.
export const places = new Set<string>();

/// Draws the component again whenever what the page knows has changed.
export function useBench(): State {
  const [, again] = useReducer((n: number) => n + 1, 0);
  useEffect(() => {
    const listener = () => again(0);
    listeners.add(listener);
    return () => void listeners.delete(listener);
  }, []);
  return state;
}

export function setBy(by: string) {
  remember('mendtone.by', by);
  changed({ by });
}

/// Says one line to everybody: eyes and screen reader.
export const say = (said: string) => changed({ said, trouble: '' });

/// What was decided, in the bench's own words, and what that did to other fills.
export const sayDecided = (kept: Kept, loss: string, fill: string) =>
  say([`${kept.standing} for ${loss}: ${fill}`, ...(kept.notes ?? [])].join('. '));

export function wordsOf(error: unknown): string {
  if (error instanceof Refusal) return error.where ? `${error.message} (${error.where})` : error.message;
  return error instanceof Error ? error.message : String(error);
}
export function complain(error: unknown) {
  if ((error as Error)?.name !== 'AbortError') changed({ trouble: wordsOf(error), said: '' });
}

export async function loadRecord() {
  const record = await api.record();
  // An object kind -> count is as good as a list.
  if (!Array.isArray(record.counts))
    record.counts = Object.entries(record.counts as Record<string, number>).map(([kind, count]) => ({ kind, count }));
  changed({ record });
}
export async function loadSheet(name: string) {
  const answer = await api.sheet(name);
  changed({ sheets: { ...state.sheets, [name]: answer } });
}
export async function reload(sheet?: string) {
  await Promise.all([loadRecord(), sheet ? loadSheet(sheet) : Promise.resolve()]);
}

export const textOf = (thing: Thing, column: string): string => {
  const value = thing.columns[column];
  return value === undefined || value === null ? '' : String(value);
};
export const nameOf = (thing: Thing): string => textOf(thing, 'name') || `${thing.kind} #${thing.id}`;

export const labThings = (kind: string): Thing[] =>
  (state.record?.things ?? []).filter((thing) => thing.kind === kind && !thing.withdrawn);
export const sheetThings = (sheet: string, kind: string): Thing[] =>
  (state.sheets[sheet]?.things ?? []).filter((thing) => thing.kind === kind && !thing.withdrawn);
export const kindOf = (kind: string) => state.record?.kinds.find((one) => one.kind === kind);

/// Things that a link column may name, the sheet's own first.
export function namesOf(kind: string, sheet?: string): string[] {
  const own = sheet ? sheetThings(sheet, kind) : [];
  return [...new Set([...own, ...labThings(kind)].map(nameOf))];
}

/// Calibrations by name: one that was kept without a name cannot be asked for.
export const palettes = () =>
  labThings('computation').filter((c) => textOf(c, 'verb') === 'colorant' && textOf(c, 'name'));

/// The names of backings that were read.
export const backingNames = (): string[] => state.record?.backings ?? [];

/// What is typed, kept as it is typed. Gone when it was entered.
export function useDraft<T>(key: string, initial: T): [T, (value: T | ((old: T) => T)) => void, () => void] {
  const full = `mendtone.draft.${key}`;
  const read = (): T => {
    const text = remembered(full);
    if (!text) return initial;
    try {
      const kept = JSON.parse(text);
      return initial && typeof initial === 'object' && !Array.isArray(initial) ? { ...initial, ...kept } : kept;
    } catch {
      return initial;
    }
  };
  const [value, setValue] = useState<T>(read);
  const keyNow = useRef(full);
  if (keyNow.current !== full) {
    keyNow.current = full;
    setValue(read());
  }
  const set = (next: T | ((old: T) => T)) =>
    setValue((old) => {
      const settled = typeof next === 'function' ? (next as (old: T) => T)(old) : next;
      remember(full, JSON.stringify(settled));
      return settled;
    });
  const clear = () => {
    remember(full, null);
    setValue(initial);
  };
  return [value, set, clear];
}

/// Loads something when its key changes; the latest answer wins.
export function useLoaded<T>(key: string, load: (signal: AbortSignal) => Promise<T>): { value: T | null; trouble: string; busy: boolean } {
  const [shown, setShown] = useState<{ key: string; value: T | null; trouble: string }>({ key: '', value: null, trouble: '' });
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    const stop = new AbortController();
    setBusy(true);
    load(stop.signal)
      .then((value) => {
        if (!stop.signal.aborted) setShown({ key, value, trouble: '' });
      })
      .catch((error) => {
        if (!stop.signal.aborted) setShown((old) => ({ key, value: old.value, trouble: wordsOf(error) }));
      })
      .finally(() => {
        if (!stop.signal.aborted) setBusy(false);
      });
    return () => stop.abort();
  }, [key]);
  return { value: shown.value, trouble: shown.key === key ? shown.trouble : '', busy };
}

/// Screen colours as the engine computes them, asked once for each.
const known = new Map<string, ScreenColour>();
const colourKey = (lab: Lab, light?: string) => `${light ?? ''}|${lab.join(',')}`;

export async function fetchColours(labs: Lab[], light?: string, signal?: AbortSignal) {
  const missing = labs.filter((lab) => !known.has(colourKey(lab, light)));
  if (!missing.length) return;
  if (known.size > 20000) known.clear();
  const { colours } = await api.colours(missing, light, signal);
  missing.forEach((lab, i) => known.set(colourKey(lab, light), colours[i]));
}
export const knownColour = (lab: Lab, light?: string): ScreenColour | undefined => known.get(colourKey(lab, light));

export function useColours(labs: Lab[], light?: string): (ScreenColour | undefined)[] {
  const [, again] = useReducer((n: number) => n + 1, 0);
  const key = labs.map((lab) => colourKey(lab, light)).join(';');
  useEffect(() => {
    let gone = false;
    if (labs.length)
      fetchColours(labs, light)
        .then(() => !gone && again(0))
        .catch(complain);
    return () => {
      gone = true;
    };
  }, [key]);
  return labs.map((lab) => knownColour(lab, light));
}

// ---- long work

let polling = 0;
const settledJobs = new Set<string>();
const waiting = new Map<string, { resolve: (job: Job) => void; reject: (error: unknown) => void }>();
export const isOver = (job: Job) => job.state !== 'waiting' && job.state !== 'running';

async function poll() {
  polling = 0;
  try {
    const { jobs } = await api.jobs();
    changed({ jobs });
    for (const job of jobs) {
      const id = String(job.job);
      if (!isOver(job) || settledJobs.has(id)) continue;
      settledJobs.add(id);
      const wanted = waiting.get(id);
      waiting.delete(id);
      if (!wanted) continue;
      const whole = await api.job(job.job);
      if (whole.state === 'done') wanted.resolve(whole);
      else if (whole.state === 'cancelled') wanted.reject(new Refusal('stopped, as asked; nothing was kept', 0));
      else wanted.reject(new Refusal(whole.error?.message ?? 'the job failed', 0, whole.error?.where));
    }
    if (jobs.some((job) => !isOver(job)) || waiting.size) later();
  } catch (error) {
    complain(error);
    if (waiting.size) later(3000);
  }
}
function later(ms = 400) {
  if (!polling) polling = window.setTimeout(poll, ms);
}
export const watchJobs = () => later(0);

/// Runs long work in the background and waits for it. The page stays alive meanwhile.
export async function runJob<T>(verb: string, parameters: unknown, query = {}): Promise<Computed<T>> {
  const { job } = await api.startJob(verb, parameters, query);
  const whole = await new Promise<Job>((resolve, reject) => {
    waiting.set(String(job), { resolve, reject });
    later(150);
  });
  // A job's result is what `compute` would have answered; some jobs answer with the bare result.
  const result = whole.result as Computed<T> & T;
  if (result && typeof result === 'object' && 'result' in result && 'answered' in result)
    return { kept_id: whole.kept_id, ...(result as Computed<T>) };
  return { answered: true, kept_id: whole.kept_id, result: result as T };
}

// ---- where she is: #/sheet/NAME/VIEW/PART

export interface Route {
  sheet: string;
  view: string;
  part: string;
}
const decode = (text: string | undefined) => {
  try {
    return decodeURIComponent(text ?? '');
  } catch {
    return '';
  }
};
export function routeOf(hash: string): Route {
  const parts = hash.replace(/^#\/?/, '').split('/');
  if (parts[0] === 'sheet') return { sheet: decode(parts[1]), view: parts[2] || 'sheet', part: decode(parts[3]) };
  return { sheet: '', view: parts[0] || 'start', part: decode(parts[1]) };
}
export function hrefOf(route: Partial<Route>): string {
  const part = route.part ? `/${encodeURIComponent(route.part)}` : '';
  if (!route.sheet) return `#/${route.view ?? ''}${part}`;
  return `#/sheet/${encodeURIComponent(route.sheet)}/${route.view ?? 'sheet'}${part}`;
}
export function useRoute(): Route {
  const [hash, setHash] = useState(location.hash);
  useEffect(() => {
    const moved = () => setHash(location.hash);
    addEventListener('hashchange', moved);
    return () => removeEventListener('hashchange', moved);
  }, []);
  return routeOf(hash);
}
export const go = (route: Partial<Route>) => {
  location.hash = hrefOf(route);
};
