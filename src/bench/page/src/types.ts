// The shapes of what the page's own calls answer. Those of the program's answers are made by the
// build, from the lists of their fields.
import type { Tone } from './answers';

export type {
  ColorantAnswer as ColorantResult,
  ColourUnder as Under,
  CorrectAnswer as CorrectResult,
  DifferenceAnswer as DifferenceResult,
  LampAnswer,
  LightNamed,
  MeasuredOut as Dispensed,
  Pair,
  RecheckAnswer,
  TissueAnswer as Ranking,
  TissueCandidate as Candidate,
  Tone,
  Transmitted,
  WashAnswer as WashResult,
  WashPlan as WashProblem,
  WashRecipe as Recipe,
} from './answers';

export type Lab = [number, number, number];

export interface Entry {
  who: string;
  when: string;
  why: string;
  program: string;
}

export interface Thing {
  kind: string;
  id: number;
  row: number;
  withdrawn: boolean;
  entry: Entry;
  columns: Record<string, unknown>;
  links: Record<string, string>;
  /// Of a fill: what was decided.
  standing?: string;
}

export interface Column {
  name: string;
  form: string;
  needed: boolean;
  help?: string;
  links_to?: string;
  one_of?: string[];
}

export interface Kind {
  kind: string;
  columns: Column[];
}

export interface Imported {
  file: string;
  id: number;
  roles: Record<string, number>;
  names: string[];
}

export interface RecordAnswer {
  record: string;
  program_version: string;
  counts: { kind: string; count: number }[];
  things: Thing[];
  lights: string[];
  kinds: Kind[];
  imported?: Imported[];
  backings?: string[];
}

export interface SheetAnswer {
  sheet: string;
  things: Thing[];
}

export interface Warning {
  message?: string;
  where?: string;
}

export interface PreviewReading {
  name: string;
  repeat: number | string | null;
  role: string | null;
  backing: string | null;
  state: string | null;
  condition: string | null;
  geometry: string | null;
  instrument: string | null;
  line: number | null;
  plies?: number | null;
  loads?: Record<string, number> | null;
  load_unit?: string | null;
  lab?: Lab | null;
}

export interface Preview {
  count: number;
  names: number;
  readings: PreviewReading[];
  tones: Tone[];
  warnings: (string | Warning)[];
  /// Each row by itself, named by its place from 0.
  colours?: Tone[];
  /// Of the rows that were asked about as repeats, named by the group's place.
  groups?: Tone[];
}

export interface Job {
  job: string | number;
  verb: string;
  state: 'waiting' | 'running' | 'done' | 'failed' | 'cancelled';
  progress: number | null;
  message: string;
  seconds: number;
  result?: unknown;
  error?: { message: string; where?: string };
  kept_id?: number;
}

export interface Computed<T> {
  answered: boolean;
  kept_id?: number;
  result: T;
}

export interface PhotoInfo {
  id: number;
  name: string;
  width: number;
  height: number;
  tile: number;
  levels: number;
  mm_per_px?: number | null;
  /// What must stand beside it wherever it is shown.
  mark?: string;
  stage?: string;
  /// Of a mask: its edge.
  outline?: unknown;
}

export interface Kept {
  kind: string;
  id: number;
  name: string;
  corrected: boolean;
  /// Of a fill: what was decided.
  standing?: string;
  /// What the entry did to others.
  notes?: string[];
}

export interface ScreenColour {
  css: string;
  outside: boolean;
}
