import { useState } from 'preact/hooks';
import { api } from './api';
import { realPhotographs } from './marks';
import { Plot } from './plot';
import { hrefOf, loadSheet, nameOf, runJob, say, sheetThings, state, textOf, useBench, useDraft } from './state';
import type { DifferenceResult, Pair, Thing } from './types';
import { Act, Card, Cautions, Chip, Choice, Field, fixed, lampOption, Fold, Nothing, numberIn, signed, signer, stamp, Table, Warnings } from './ui';

const verdictWords = (pair: Pair, tolerance: number): string =>
  ({
    within: `no change that matters: within ΔE00 ${tolerance}`,
    beyond: `changed: beyond ΔE00 ${tolerance}`,
    undecided: 'cannot be decided with these readings',
  })[pair.verdict] ?? pair.verdict;
const verdictMark = (pair: Pair) => ({ within: '=', beyond: '≠', undecided: '?' })[pair.verdict] ?? '';

const stagesOf = (sheet: string): string[] => [
  ...new Set(sheetThings(sheet, 'reading').map((r) => textOf(r, 'stage')).filter(Boolean)),
];

function OnePair({ pair, tolerance }: { pair: Pair; tolerance: number }) {
  return (
    <li class="pair">
      <p class="verdict-line">
        <span class="verdict-mark" aria-hidden="true">
          {verdictMark(pair)}
        </span>
        <strong>{pair.name}</strong>: {verdictWords(pair, tolerance)}
      </p>
      <p>
        ΔE00 <strong>{fixed(pair.de00)}</strong>, between {fixed(pair.interval95_de00[0])} and {fixed(pair.interval95_de00[1])} in
        95 % of such cases; {signed(pair.dL, 2)} L*, {signed(pair.da, 2)} a*, {signed(pair.db, 2)} b*; grey scale{' '}
        {pair.grey_scale.step}
        {pair.more_readings ? `; ${pair.more_readings} more readings on each side decide in 80 % of cases` : ''}.
      </p>
      <p class="tones">
        <Chip lab={pair.lab_before} light={pair.light} label={`before (${pair.n_before})`} />
        <Chip lab={pair.lab_after} light={pair.light} label={`after (${pair.n_after})`} />
      </p>
      {pair.warnings.length > 0 && <p class="note-line">! {pair.warnings.join('; ')}</p>}
    </li>
  );
}

function Told({ result }: { result: DifferenceResult }) {
  const light = result.lights[0].name;
  const tolerance = result.settings.tolerance_de00;
  const first = result.pairs.filter((pair) => pair.light === light);
  return (
    <>
      <ul class="plain pairs">
        {first.map((pair) => (
          <OnePair pair={pair} tolerance={tolerance} />
        ))}
      </ul>
      <Plot
        title={`The changes and their intervals under ${light}`}
        words={first.map((p) => `${p.name} ${fixed(p.de00)}, ${fixed(p.interval95_de00[0])} to ${fixed(p.interval95_de00[1])}`).join('; ')}
        x={{ label: 'Spot', values: first.map((_, i) => i), names: first.map((p) => p.name) }}
        y="ΔE00"
        points
        apart
        tolerance={tolerance}
        lines={[
          {
            label: 'ΔE00',
            values: first.map((p) => p.de00),
            low: first.map((p) => p.interval95_de00[0]),
            high: first.map((p) => p.interval95_de00[1]),
          },
        ]}
      >
        <p class="help">The dotted line is the tolerance: {result.settings.tolerance_origin}.</p>
      </Plot>
      {result.pairs.length > first.length && (
        <Fold title="Under every light">
          <Table
            caption="Changes under every light"
            hideCaption
            head={['Spot', 'Light', 'ΔE00', 'from', 'to', 'dL*', 'da*', 'db*', 'Verdict']}
            rows={result.pairs.map((p) => [
              p.name,
              p.light,
              fixed(p.de00),
              fixed(p.interval95_de00[0]),
              fixed(p.interval95_de00[1]),
              signed(p.dL, 2),
              signed(p.da, 2),
              signed(p.db, 2),
              verdictWords(p, tolerance),
            ])}
          />
        </Fold>
      )}
      <Cautions
        title="Not compared"
        mark="i"
        items={[
          ...result.refused.map((one) => `${one.name}: ${one.reason}`),
          ...result.only_before.map((name) => `${name}: read before only`),
          ...result.only_after.map((name) => `${name}: read after only`),
        ]}
      />
      <Warnings items={result.warnings} />
    </>
  );
}

function BeforeAfter({ sheet }: { sheet: string }) {
  const stages = stagesOf(sheet);
  const [q, setQ] = useDraft(`change.${sheet}`, { before: '', after: '', other: 'LED-B1', tolerance: '', reproducibility: '' });
  const set = (change: Partial<typeof q>) => setQ((old) => ({ ...old, ...change }));
  const [told, setTold] = useState<DifferenceResult | null>(null);
  const before = q.before || stages.find((s) => s === 'before') || stages[0] || '';
  const after = q.after || stages.find((s) => s === 'after') || stages[stages.length - 1] || '';
  if (stages.length < 2)
    return (
      <Nothing>
        A change is told between two stages. So far {stages.length ? `only ‘${stages[0]}’ was` : 'no stage was'} read:{' '}
        <a href={hrefOf({ sheet, view: 'spot' })}>enter readings of the spots</a> with their stage.
      </Nothing>
    );
  const tell = async () => {
    const by = signer();
    if (!by) return;
    const tolerance = numberIn(q.tolerance);
    const reproducibility = numberIn(q.reproducibility);
    const answer = await api.compute<DifferenceResult>(
      'difference',
      {
        before: { files: [`${sheet}@${before}`] },
        after: { files: [`${sheet}@${after}`] },
        viewing: { lights: [...new Set(['D65', q.other].filter(Boolean))], observer_deg: 10 },
        settings: {
          ...(tolerance !== null ? { tolerance_de00: tolerance } : {}),
          ...(reproducibility !== null ? { reproducibility_de00: reproducibility } : {}),
        },
      },
      { keep: `change from ${before} to ${after} ${stamp()}`, sheet, by },
    );
    setTold(answer.result);
    await loadSheet(sheet);
    say(`${answer.result.pairs.length} comparisons, kept in the record`);
  };
  return (
    <>
      <div class="fields">
        <Choice label="Before" value={before} options={stages} onChange={(v) => set({ before: v })} />
        <Choice label="After" value={after} options={stages} onChange={(v) => set({ after: v })} />
        <Choice label="Beside daylight, under" value={q.other} options={[['', 'none'], ...(state.record?.lights ?? []).map(lampOption)]} onChange={(v) => set({ other: v })} />
        <Field
          label="Tolerance, ΔE00"
          type="number"
          value={q.tolerance}
          onInput={(v) => set({ tolerance: v })}
          help="blank: 0.8, which half of observers notice"
        />
        <Field
          label="Reproducibility, ΔE00"
          type="number"
          value={q.reproducibility}
          onInput={(v) => set({ reproducibility: v })}
          help="of the instrument, as its maker states it"
        />
      </div>
      <Act main onAct={tell}>
        Is the change real?
      </Act>
      {told && <Told result={told} />}
    </>
  );
}

interface SeriesPoint {
  stage?: string;
  name?: string;
  step?: string;
  de00: number;
  low95_de00?: number;
  high95_de00?: number;
  interval95_de00?: [number, number];
  lab?: [number, number, number];
  verdict?: string;
}

function SeriesOf({ sheet }: { sheet: string }) {
  const spots = sheetThings(sheet, 'spot');
  const [spot, setSpot] = useState('');
  const [light, setLight] = useState('D65');
  const [points, setPoints] = useState<SeriesPoint[] | null>(null);
  const chosen = spot || (spots[0] ? nameOf(spots[0]) : '');
  if (!spots.length) return <Nothing>No spot yet.</Nothing>;
  const follow = async () => {
    const done = await runJob<{ points: SeriesPoint[] }>('series', { sheet, spot: chosen, light });
    setPoints(done.result.points);
  };
  const nameOfPoint = (p: SeriesPoint, i: number) => p.stage ?? p.name ?? p.step ?? String(i + 1);
  const low = (p: SeriesPoint) => p.interval95_de00?.[0] ?? p.low95_de00 ?? null;
  const high = (p: SeriesPoint) => p.interval95_de00?.[1] ?? p.high95_de00 ?? null;
  return (
    <>
      <div class="fields">
        <Choice label="Spot" value={chosen} options={spots.map(nameOf)} onChange={setSpot} />
        <Choice label="Light" value={light} options={(state.record?.lights?.length ? state.record.lights : ['D65']).map(lampOption)} onChange={setLight} />
      </div>
      <Act onAct={follow}>Follow it stage by stage</Act>
      {points && points.length > 0 && (
        <Plot
          title={`${chosen} from stage to stage, against its first reading`}
          words={points.map((p, i) => `${nameOfPoint(p, i)}: ΔE00 ${fixed(p.de00)}`).join('; ')}
          x={{ label: 'Stage', values: points.map((_, i) => i), names: points.map(nameOfPoint) }}
          y="ΔE00"
          points
          lines={[{ label: 'ΔE00', values: points.map((p) => p.de00), low: points.map(low), high: points.map(high) }]}
        />
      )}
      {points && points.length > 0 && (
        <p class="help">The intervals are those of the repeats alone, without the reproducibility of the instrument.</p>
      )}
      {points && !points.length && <Nothing>This spot was read at one stage only.</Nothing>}
    </>
  );
}

interface ChangeMap {
  regions: { name: string; mean_de00?: number; median_de00?: number; p95_de00?: number; max_de00?: number }[];
  pictures: (string | number)[];
  warnings: string[];
  registration?: { by: string; residual_px: number | null };
}

function Maps({ sheet }: { sheet: string }) {
  const photographs = realPhotographs(sheet);
  const [before, setBefore] = useState(0);
  const [after, setAfter] = useState(0);
  const [map, setMap] = useState<ChangeMap | null>(null);
  if (photographs.length < 2) return <Nothing>For this the sheet needs two photographs: before and after.</Nothing>;
  const stageIs = (stage: string) => photographs.find((p) => textOf(p, 'stage') === stage)?.id;
  const from = before || stageIs('before') || photographs[0].id;
  const to = after || stageIs('after') || photographs[photographs.length - 1].id;
  const options = photographs.map((p: Thing): [string, string] => [String(p.id), `${nameOf(p)} (${textOf(p, 'stage')})`]);
  const run = async () => {
    const done = await runJob<ChangeMap>('image-change', { before: from, after: to }, { sheet, by: signer() ?? '' });
    setMap(done.result);
  };
  return (
    <>
      <div class="fields">
        <Choice label="Before" value={String(from)} options={options} onChange={(v) => setBefore(Number(v))} />
        <Choice label="After" value={String(to)} options={options} onChange={(v) => setAfter(Number(v))} />
      </div>
      <Act main onAct={run}>
        Map the change
      </Act>
      {map && <MapOf map={map} />}
    </>
  );
}

function MapOf({ map }: { map: ChangeMap }) {
  const figures = (region: Record<string, unknown>) =>
    Object.entries(region).filter(([name, value]) => name !== 'name' && typeof value === 'number') as [string, number][];
  const head = map.regions[0] ? figures(map.regions[0]).map(([name]) => name.replace(/_/g, ' ').replace('de00', 'ΔE00')) : [];
  return (
    <>
      {map.pictures.map((picture) => (
        <img class="map" src={String(picture)} alt="Map of the change; its figures stand in the table" />
      ))}
      <Table
        caption="The change in figures, D50, 2 degrees"
        head={['Part', ...head]}
        rows={map.regions.map((region) => [region.name, ...figures(region).map(([, value]) => fixed(value))])}
      />
      <Warnings items={map.warnings} />
    </>
  );
}

export function Change({ sheet }: { sheet: string }) {
  useBench();
  return (
    <>
      <p class="lead">
        From the readings of each spot before and after. <a href={hrefOf({ sheet, view: 'spot' })}>Back to the spots</a>
      </p>
      <Card title="Before and after">
        <BeforeAfter sheet={sheet} />
      </Card>
      <Card title="Stage by stage">
        <SeriesOf sheet={sheet} />
      </Card>
      <Card title="On the photographs">
        <Maps sheet={sheet} />
      </Card>
    </>
  );
}
