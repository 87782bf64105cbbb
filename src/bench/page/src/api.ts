import type { Computed, Job, Kept, Lab, PhotoInfo, Preview, RecordAnswer, ScreenColour, SheetAnswer } from './types';

// Every call to the bench. The address of the page carries the secret, so all of them are relative.

/// What the bench refused, in words for her.
export class Refusal extends Error {
  constructor(
    message: string,
    readonly status: number,
    readonly where = '',
  ) {
    super(message);
  }
}

type Query = Record<string, string | number | undefined | null>;

function address(path: string, query?: Query): string {
  const parts: string[] = [];
  for (const [name, value] of Object.entries(query ?? {}))
    if (value !== undefined && value !== null && value !== '')
      parts.push(`${name}=${encodeURIComponent(String(value))}`);
  return `api/${path}${parts.length ? `?${parts.join('&')}` : ''}`;
}

async function refusal(answer: Response): Promise<Refusal> {
  try {
    const { error } = await answer.json();
    return new Refusal(error.message, answer.status, error.where ?? '');
  } catch {
    return new Refusal(`the bench answered ${answer.status} without saying why`, answer.status);
  }
}

/// Tabs of one record tell each other when something was entered.
const entering = /^(keep|withdraw|correct-all|readings|photograph|compute|jobs)$/;
const entered = 'BroadcastChannel' in window ? new BroadcastChannel(`mendtone ${location.pathname}`) : null;
export const onEntered = (look: () => void) => entered?.addEventListener('message', look);

interface Asked {
  query?: Query;
  body?: unknown;
  bytes?: Blob;
  signal?: AbortSignal;
}

async function ask(method: string, path: string, asked: Asked = {}): Promise<Response> {
  const headers: Record<string, string> = method === 'GET' ? {} : { 'X-Mendtone': '1' };
  if (asked.body !== undefined) headers['Content-Type'] = 'application/json';
  if (asked.bytes) headers['Content-Type'] = 'application/octet-stream';
  let answer: Response;
  try {
    answer = await fetch(address(path, asked.query), {
      method,
      headers,
      body: asked.bytes ?? (asked.body === undefined ? undefined : JSON.stringify(asked.body)),
      signal: asked.signal,
    });
  } catch (error) {
    if ((error as Error).name === 'AbortError') throw error;
    throw new Refusal(
      'the bench does not answer: is its program still running? What you typed is still here',
      0,
    );
  }
  if (!answer.ok) throw await refusal(answer);
  if (method !== 'GET' && entering.test(path)) entered?.postMessage('entered');
  return answer;
}

const get = async <T>(path: string, query?: Query, signal?: AbortSignal): Promise<T> =>
  (await ask('GET', path, { query, signal })).json();
const post = async <T>(path: string, asked: Asked): Promise<T> => (await ask('POST', path, asked)).json();

export interface Place {
  sheet?: string;
  spot?: string;
  loss?: string;
  tissue?: string;
  trial?: string;
  bath?: string;
  instrument?: string;
  stage?: string;
}

/// A picture, and what it is not to be judged by.
export interface Picture {
  png: Blob;
  warnings: string[];
}

export interface ReadingsAsked {
  scale?: string;
  wavelengths?: string;
  newTissues?: boolean;
  /// What she said of rows, beside what the file says.
  said?: { rows: string; columns?: Record<string, string>; left_out?: string }[];
}

export interface KeepAsked {
  kind: string;
  columns: Record<string, string>;
  thing?: string;
  /// The row that was corrected, as it stood on the page: another may have been entered since.
  seen_row?: number;
  why?: string;
  by: string;
}

export const api = {
  record: () => get<RecordAnswer>('record'),
  sheet: (name: string) => get<SheetAnswer>('sheet', { name }),
  history: (kind: string, thing: string) => get<SheetAnswer>('history', { kind, thing }),
  find: (words: string) => get<SheetAnswer>('find', { words }),
  keep: (body: KeepAsked) => post<Kept>('keep', { body }),
  withdraw: (body: { kind: string; thing: string; why: string; by: string }) => post<Kept>('withdraw', { body }),
  /// Many readings at once: by their numbers, or all that came with a file.
  correctAll: (body: { things?: string[]; file?: string; columns: Record<string, string>; why: string; by: string }) =>
    post<{ ids: number[] }>('correct-all', { body }),
  /// `repeats`: rows that were read at one place, "0-2;3,5".
  preview: (name: string, bytes: Blob, scale?: string, wavelengths?: string, repeats?: string) =>
    post<Preview>('readings/preview', { query: { name, scale, wavelengths, repeats }, bytes }),
  /// With `newTissues`, a tissue is entered for every name of role tissue that the drawer lacks.
  readings: (name: string, bytes: Blob, place: Place, by: string, more: ReadingsAsked = {}) =>
    post<{ files: { file: string; already: boolean; readings: number }[] }>('readings', {
      query: {
        name,
        ...place,
        scale: more.scale,
        wavelengths: more.wavelengths,
        by,
        new_tissues: more.newTissues ? 1 : undefined,
        said: more.said?.length ? JSON.stringify(more.said) : undefined,
      },
      bytes,
    }),
  compute: <T>(verb: string, parameters: unknown, query: Query = {}) =>
    post<Computed<T>>('compute', { query: { verb, ...query }, body: parameters }),
  rank: <T>(parameters: unknown, signal?: AbortSignal) =>
    post<Computed<T>>('rank', { body: { parameters }, signal }),
  startJob: (verb: string, parameters: unknown, query: Query = {}) =>
    post<{ job: string | number }>('jobs', { query: { verb, ...query }, body: parameters }),
  jobs: () => get<{ jobs: Job[] }>('jobs'),
  job: (id: string | number) => get<Job>(`jobs/${id}`),
  cancelJob: async (id: string | number) => {
    await ask('DELETE', `jobs/${id}`);
  },
  photograph: (id: number) => get<PhotoInfo>(`photograph/${id}`),
  tile: (id: number, level: number, x: number, y: number) => `api/photograph/${id}/tile/${level}/${x}/${y}`,
  putPhotograph: async (
    bytes: Blob,
    query: Query,
  ): Promise<{ id: number; width: number; height: number }> =>
    (await ask('PUT', 'photograph', { query, bytes })).json(),
  fillPicture: async (body: unknown, before: boolean, signal?: AbortSignal): Promise<Picture> => {
    const answer = await ask('POST', 'fill-picture', { query: before ? { before: 1 } : {}, body, signal });
    const said = answer.headers.get('X-Mendtone-Warnings') ?? '';
    return { png: await answer.blob(), warnings: said ? said.split(',').map(decodeURIComponent) : [] };
  },
  colours: (labs: Lab[], light?: string, signal?: AbortSignal) =>
    post<{ colours: ScreenColour[] }>('colours', { body: light ? { labs, light } : { labs }, signal }),
  result: <T>(id: number) =>
    get<{ id: number; verb: string; name: string; parameters: Record<string, unknown>; result: T }>(`result/${id}`),
  report: (sheet: string, file: string) => `api/report/${encodeURIComponent(sheet)}/${file}`,
  closing: () => {
    fetch('api/closing', { method: 'POST', keepalive: true, headers: { 'X-Mendtone': '1' } }).catch(() => {});
  },
};
