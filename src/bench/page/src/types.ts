// The shapes of the answers: those of the program's JSON.

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

export interface Tone {
  name: string;
  light: string;
  observer: number;
  lab: Lab;
  n: number;
  spread_de00: number | null;
  outliers: unknown[];
  quantity: string;
  conditions: string;
  warnings: string[];
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
}

export interface Under {
  lab: Lab;
  de00: number;
  dL: number;
  da: number;
  db: number;
  not_predictable?: string;
}

export interface Transmitted {
  known: boolean;
  why: string | null;
  lab: Lab | null;
  de00: number | null;
  dL: number | null;
  light: string;
}

export interface Candidate {
  tissue: string;
  lot: string | null;
  state: string | null;
  plies: number;
  use: string;
  side: string;
  lab: Lab;
  de00: number;
  dL: number;
  da: number;
  db: number;
  aim_de00: number;
  worst_de00: number;
  worst_light: string;
  by_light: Record<string, Under>;
  overlap_de00: number | null;
  transmitted: Transmitted;
  score: number;
  nearest_probability: number | null;
  weight_g_m2: number | null;
  pasted: { dL: number; da: number; db: number; de00: number } | null;
  reasons: string[];
  cautions: string[];
}

export interface Ranking {
  target: string;
  over: string;
  over_is_nominal: boolean;
  lights: string[];
  observer: number;
  sheet: { by_light: Record<string, Under>; transmitted: Transmitted; weight_g_m2: number | null };
  tolerance_de00: number;
  tolerance_origin: string;
  aim: { dL: number; dC: number; lab: Lab };
  score: string;
  surfaces: string;
  probability: string | null;
  ranked: number;
  within_tolerance: number;
  filtered: Record<string, number>;
  candidates: Candidate[];
  left_out: { tissue: string; reason: string }[];
  notes: string[];
  warnings: (string | Warning)[];
}

export interface Dispensed {
  stock: string;
  ml: number;
  drops: number | null;
  drops_ml: number;
  of_volume_ml: number;
}

export interface Recipe {
  number: number;
  kind: string;
  loads: Record<string, number>;
  load_unit: string;
  lab: Lab;
  de00: number;
  dL: number;
  da: number;
  db: number;
  aim_de00: number;
  u95_de00: number;
  by_light: Record<string, Under>;
  worst_de00: number;
  worst_light: string;
  transmitted: Transmitted;
  at_limit: boolean;
  coats: { n: number; loads: Record<string, number>; lab: Lab; de00: number; transmitted: Transmitted }[];
  dispense: Dispensed[];
  no_dispense?: string[];
  one_drop_de00: number | null;
  one_drop_stock?: string;
  whole_drops?: { lab: Lab; de00: number; aim_de00: number };
  pick_up_u95_de00?: number;
  bath?: { needed_ml: number; taken_per_dip_ml: number };
  advice?: string[];
  cautions: string[];
}

export interface WashResult {
  lights: string[];
  observer: number;
  sheet: Lab;
  aim: Lab;
  tolerance_de00: number;
  tolerance_origin: string;
  recipes: Recipe[];
  searched: number;
  exact: boolean;
  proof: string;
  why_not_exact: string;
  within_tolerance: boolean;
  untoned: { lab: Lab; de00: number };
  nearer: { what: string; aim_de00: number }[];
  notes: string[];
  warnings: (string | Warning)[];
  problem: WashProblem;
}

export interface WashProblem {
  target: string;
  tissue: string;
  over: string;
  use: string;
  side: string;
  plies: number;
  lights: { described: string; sheet_lab: Lab; aim_lab: Lab }[];
  dispensing: { possible: boolean; method: string; volume_ml: number; coats: number; sheets: number };
  palette: { load_unit: string; application: string; colorants: { name: string }[] };
}

export interface CorrectResult {
  trial: { lab: Lab; de00: number; predicted_de00: number };
  learned: Record<string, { strength: number; u95: number } | Lab | number>;
  recipes: Recipe[];
  within_tolerance: boolean;
  notes: string[];
  warnings: (string | Warning)[];
  problem: WashProblem;
}

export interface Pair {
  name: string;
  light: string;
  observer: number;
  de00: number;
  de_ab: number;
  dL: number;
  da: number;
  db: number;
  u95: number;
  verdict: string;
  interval95_de00: [number, number];
  more_readings: number | null;
  lab_before: Lab;
  lab_after: Lab;
  n_before: number;
  n_after: number;
  grey_scale: { step: string; rating: number };
  conditions: string;
  warnings: string[];
}

export interface DifferenceResult {
  lights: string[];
  settings: { tolerance_de00: number; tolerance_origin: string; reproducibility_de00: number };
  pairs: Pair[];
  refused: { name: string; light: string; reason: string }[];
  only_before: string[];
  only_after: string[];
  warnings: (string | Warning)[];
}

export interface Law {
  name: string;
  constants: number;
  load_law: string;
  cross_validated_de00: number;
  mean_de00: number;
  p95_de00: number;
  fit_de00: number;
  chosen: boolean;
}

export interface ColorantResult {
  application: string;
  load_unit: string;
  substrate: string;
  lot: string;
  wavelengths_nm: number[];
  cross_validated_de00: number;
  colorants: {
    name: string;
    k: number[];
    s: number[];
    load_range: [number, number];
    cross_validated_de00: number;
    warnings: string[];
  }[];
  laws: Law[];
  residuals: {
    name: string;
    loads: Record<string, number>;
    de00: number;
    cross_validated_de00: number;
    dL: number;
    da: number;
    db: number;
    doubtful: boolean;
    remark: string;
  }[];
  advice: { loads: Record<string, number>; before_de00: number; after_de00: number }[];
  palette_warnings: string[];
  warnings: (string | Warning)[];
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
  stage?: string;
  /// Of a mask: its edge.
  outline?: unknown;
}

export interface Kept {
  kind: string;
  id: number;
  name: string;
  corrected: boolean;
}

export interface ScreenColour {
  css: string;
  outside: boolean;
}
