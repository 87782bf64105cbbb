import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { Plot } from './plot';
import { Readings, type Batch } from './readings';
import { backingNames, changed, go, labThings, loadRecord, nameOf, palettes, runJob, textOf, useBench, useDraft } from './state';
import type { ColorantResult, Imported } from './types';
import { Act, Card, Choice, Cautions, Field, fixed, Fold, Nothing, numberIn, Pick, signed, signer, stamp, Table, Tick, unitWords, Warnings, whenWords } from './ui';
import { useResult } from './wash';

// A colorant is calibrated by a ladder: the bare tissue, what lies behind, and three loads or more,
// each read over each backing; mixtures beside it teach how colorants meet.

interface Rung {
  colorant: string;
  load: string;
  file: string;
}
interface Plan {
  substrate: string;
  unit: string;
  application: string;
  stock: string;
  rungs: Rung[];
  files: string[];
  colorants: string[];
  index: Record<string, string>;
}

const fresh: Plan = {
  substrate: '',
  unit: 'g_m2',
  application: 'absorbed',
  stock: '',
  rungs: [],
  files: [],
  colorants: [],
  index: {},
};

function Step(props: { n: number; title: string; done: boolean; now: boolean; children: ComponentChildren }) {
  return (
    <details class="step" open={props.now}>
      <summary>
        <span class="step-n" aria-hidden="true">
          {props.done ? '✓' : props.n}
        </span>
        <span>
          Step {props.n}: {props.title}
        </span>
        <span class="quietly">{props.done ? 'done' : 'to do'}</span>
      </summary>
      <div>{props.children}</div>
    </details>
  );
}

/// Grams in water, and what a piece of the tissue takes up, as dry colorant a square metre.
function FromWeighing({ tissue, onLoad }: { tissue: string; onLoad: (load: string) => void }) {
  const [w, setW] = useDraft('ladder.weighing', { grams: '', water: '', area: '', dry: '', wet: '' });
  const set = (change: Partial<typeof w>) => setW((old) => ({ ...old, ...change }));
  const weighed = labThings('pickup').find((p) => p.links.tissue === tissue);
  const [grams, water, area, dry, wet] = [w.grams, w.water, w.area, w.dry, w.wet].map(numberIn);
  // A dilute bath weighs about a gram a millilitre.
  const pickUp = area && dry !== null && wet !== null && wet > dry ? (wet - dry) / (area / 10000) : null;
  const taken = pickUp ?? (weighed ? Number(weighed.columns.ml_m2) : null);
  const load = grams && water && taken ? (grams / water) * taken : null;
  const text = load === null ? '' : String(Number(load.toPrecision(3)));
  return (
    <div class="weighing">
      <div class="fields">
        <Field label="Dry colorant" unit="g" type="number" value={w.grams} onInput={(grams) => set({ grams })} />
        <Field label="In water" unit="ml" type="number" value={w.water} onInput={(water) => set({ water })} />
        <Field label="A piece of tissue of" unit="cm²" type="number" value={w.area} onInput={(area) => set({ area })} />
        <Field label="It weighs dry" unit="g" type="number" value={w.dry} onInput={(dry) => set({ dry })} />
        <Field label="It weighs wet from the bath" unit="g" type="number" value={w.wet} onInput={(wet) => set({ wet })} />
      </div>
      <p role="status">
        {load !== null
          ? `The tissue takes up ${taken!.toFixed(0)} ml/m², so ${text} g/m² of dry colorant stay in it.`
          : `Weigh one piece dry and wet${weighed ? ', or leave it blank to use what was weighed before' : ''}. A dilute bath is taken to weigh 1 g per ml.`}
      </p>
      {load !== null && <Act onAct={() => onLoad(text)}>Use {text} g/m²</Act>}
    </div>
  );
}

function OneRung({ plan, onKept }: { plan: Plan; onKept: (rung: Rung[], batches: Batch[]) => void }) {
  const [typed, setTyped] = useDraft('ladder.rung', { colorant: '', load: '' });
  const load = numberIn(typed.load);
  const ready = typed.colorant.trim() && load !== null && load > 0;
  const mixture = typed.colorant.includes('+');
  return (
    <>
      <div class="fields">
        <Field
          label="Colorant"
          value={typed.colorant}
          onInput={(colorant) => setTyped((old) => ({ ...old, colorant }))}
          list={[...new Set([...plan.colorants, ...labThings('colorant').map(nameOf)])]}
        />
        <Field
          label="Its amount"
          unit={unitWords(plan.unit)}
          type="number"
          value={typed.load}
          onInput={(value) => setTyped((old) => ({ ...old, load: value }))}
          help="dry colorant that stays, a square metre of one ply"
        />
      </div>
      {plan.unit === 'g_m2' && (
        <Fold title="Work the amount out from a weighing">
          <FromWeighing tissue={plan.substrate} onLoad={(value) => setTyped((old) => ({ ...old, load: value }))} />
        </Fold>
      )}
      {mixture && <p class="note-line">! Mixtures come as a file with one column of amounts for each colorant.</p>}
      {ready && !mixture ? (
        <Readings
          key={`${typed.colorant} ${typed.load}`}
          place={{}}
          name={`${typed.colorant.trim()} ${typed.load.trim()}`}
          role="swatch"
          draft={`ladder.${typed.colorant}.${typed.load}`}
          said={{
            [`load:${typed.colorant.trim()}`]: typed.load.trim().replace(',', '.'),
            load_unit: plan.unit,
            stock: plan.stock,
          }}
          hint={`${typed.colorant} at ${typed.load} ${unitWords(plan.unit)}: paste its readings over each backing. A file must carry its own load column.`}
          onKept={(files, batches) =>
            onKept(
              files.map((file) => ({ colorant: typed.colorant.trim(), load: typed.load.trim(), file })),
              batches,
            )
          }
        />
      ) : (
        <p class="help">Name the colorant and its amount, then its readings.</p>
      )}
    </>
  );
}

const useful = (file: Imported) => Object.keys(file.roles).some((role) => ['swatch', 'substrate', 'backing', 'trial'].includes(role));

function Guide({ onDone }: { onDone: (id: number) => void }) {
  const { record } = useBench();
  const [plan, setPlan] = useDraft<Plan>('ladder', fresh);
  const set = (change: Partial<Plan>) => setPlan((old) => ({ ...old, ...change }));
  const files = (record?.imported ?? []).filter(useful);
  const learn = (names: string[], batches: Batch[], rungs: Rung[] = []) => {
    const met = batches.flatMap((batch) => (batch.preview?.readings ?? []).flatMap((r) => Object.keys(r.loads ?? {})));
    setPlan((old) => ({
      ...old,
      files: [...new Set([...old.files, ...names])],
      rungs: [...old.rungs, ...rungs],
      colorants: [...new Set([...old.colorants, ...met, ...rungs.map((rung) => rung.colorant)])],
      substrate:
        old.substrate ||
        batches.flatMap((batch) => batch.preview?.readings ?? []).find((r) => r.role === 'substrate')?.name ||
        '',
      unit: batches.flatMap((batch) => batch.preview?.readings ?? []).find((r) => r.load_unit)?.load_unit ?? old.unit,
    }));
  };
  const chosen = files.filter((file) => plan.files.includes(file.file));
  const rolesIn = (role: string) => chosen.reduce((sum, file) => sum + (file.roles[role] ?? 0), 0);
  const haveBackings = rolesIn('backing') > 0;
  const haveSubstrate = rolesIn('substrate') > 0;
  const haveSwatches = rolesIn('swatch') > 0;
  const calibrated = palettes().some((one) => nameOf(one).includes(plan.substrate || '\u0000'));
  const done = [!!plan.substrate, haveBackings || (backingNames().length > 1 && haveSwatches), haveSubstrate, haveSwatches, calibrated];
  const now = done.indexOf(false) + 1;
  const compute = async () => {
    const by = signer();
    if (!by) return;
    const index = Object.fromEntries(
      Object.entries({
        ...Object.fromEntries(labThings('colorant').map((c) => [nameOf(c), textOf(c, 'colour_index')])),
        ...plan.index,
      }).filter(([name, ci]) => ci && plan.colorants.includes(name)),
    );
    const name = `palette ${plan.substrate} ${stamp()}`;
    const answer = await runJob<ColorantResult>(
      'colorant',
      {
        sources: { files: chosen.map((file) => file.file), scale: null },
        application: plan.application,
        advise: 3,
        colour_index: index,
      },
      { keep: name, by },
    );
    await loadRecord();
    const id = answer.kept_id ?? palettes().find((one) => nameOf(one) === name)?.id ?? 0;
    // The step closes; what was done is said at the head of the page.
    changed({ trouble: '', at: '', said: `${answer.result.colorants.length} colorants calibrated, held out ΔE00 ${fixed(answer.result.cross_validated_de00)}` });
    onDone(id);
  };
  return (
    <Card title="A ladder, rung by rung">
      <Fold title="How to make one" open={!plan.files.length}>
        <ol>
          <li>Take one lot of tissue. Cut a piece for each rung, and one that stays bare.</li>
          <li>Weigh the dry colorant into water. Dilute to a half, a quarter and an eighth: four amounts of each colorant.</li>
          <li>Weigh one piece dry and wet from the bath. This says how much liquid it takes up.</li>
          <li>Dip each piece once, lay it flat on a net, and let it dry wholly.</li>
          <li>Add two mixtures of two colorants each. They teach how the colorants meet.</li>
          <li>Read black, white, the bare piece and every rung, each over black and over white, three times.</li>
        </ol>
        <p class="help">Common practice, no source. Raise no dust; follow safety data sheets and local rules.</p>
      </Fold>
      <Step n={1} title="the tissue and its unit" done={done[0]} now={now === 1}>
        <div class="fields">
          <Field
            label="Bare tissue"
            value={plan.substrate}
            onInput={(substrate) => set({ substrate })}
            list={labThings('tissue').map(nameOf)}
            help="a calibration belongs to one lot, in one state"
          />
          <Choice
            label="Amounts are in"
            value={plan.unit}
            options={[
              ['g_m2', 'g/m² of dry colorant'],
              ['ml_m2', 'ml/m² of one stock'],
              ['relative', 'parts, relative'],
            ]}
            onChange={(unit) => set({ unit })}
          />
          <Field label="Stock" value={plan.stock} onInput={(stock) => set({ stock })} list={labThings('stock').map(nameOf)} />
        </div>
        <Pick
          legend="The colour"
          value={plan.application}
          options={[
            ['absorbed', 'soaks into the tissue'],
            ['film', 'lies on it as a film'],
          ]}
          onChange={(application) => set({ application })}
        />
      </Step>
      <Step n={2} title="what lies behind: black, white" done={done[1]} now={now === 2}>
        {backingNames().length > 0 && <p>Read already: {backingNames().join(', ')}. Tick their file in step 5, or read them anew.</p>}
        <Readings place={{}} name="black" role="backing" draft="ladder.backing" onKept={(names, batches) => learn(names, batches)} />
      </Step>
      <Step n={3} title="the bare tissue over each of them" done={done[2]} now={now === 3}>
        <Readings
          place={{}}
          name={plan.substrate || 'bare tissue'}
          role="substrate"
          draft="ladder.substrate"
          hint="If one file holds the bare tissue and all rungs, bring it here or in step 4: both will be ticked."
          onKept={(names, batches) => learn(names, batches)}
        />
      </Step>
      <Step n={4} title="three amounts or more of each colorant" done={done[3]} now={now === 4}>
        {plan.rungs.length > 0 && (
          <Table
            caption="Rungs entered"
            head={['Colorant', 'Load', 'From']}
            rows={plan.rungs.map((rung) => [rung.colorant, `${rung.load} ${unitWords(plan.unit)}`, rung.file])}
          />
        )}
        <OneRung plan={plan} onKept={(rungs, batches) => learn(rungs.map((rung) => rung.file), batches, rungs)} />
        <Fold title="Or a whole ladder in one file">
          <Readings
            place={{}}
            name={plan.substrate}
            role="swatch"
            draft="ladder.whole"
            hint="With its load columns, headed load:ochre and so on."
            onKept={(names, batches) => learn(names, batches)}
          />
        </Fold>
      </Step>
      <Step n={5} title="calibrate" done={done[4]} now={now === 5}>
        {files.length ? (
          <fieldset class="unknown">
            <legend>From these files</legend>
            <ul class="ticks">
              {files.map((file) => (
                <li>
                  <Tick
                    label={
                      <>
                        {file.file}{' '}
                        <span class="quietly">
                          {Object.entries(file.roles)
                            .map(([role, n]) => `${n} ${role || 'without role'}`)
                            .join(', ')}
                        </span>
                      </>
                    }
                    on={plan.files.includes(file.file)}
                    onChange={(on) => set({ files: on ? [...plan.files, file.file] : plan.files.filter((one) => one !== file.file) })}
                  />
                </li>
              ))}
            </ul>
          </fieldset>
        ) : (
          <Nothing>Nothing was read for it yet.</Nothing>
        )}
        {plan.colorants.length > 0 && (
          <div class="fields">
            {plan.colorants.map((name) => {
              const own = labThings('colorant').find((c) => nameOf(c) === name);
              return (
                <Field
                  label={`Colour Index name of ${name}`}
                  value={plan.index[name] ?? (own ? textOf(own, 'colour_index') : '')}
                  onInput={(ci) => set({ index: { ...plan.index, [name]: ci.trim() } })}
                  help="PY43, PR101 …: its cautions hang on it"
                />
              );
            })}
          </div>
        )}
        <Act main onAct={compute} disabled={!chosen.length}>
          Calibrate
        </Act>
      </Step>
    </Card>
  );
}

const loadsWords = (loads: Record<string, number>, unit: string) =>
  Object.entries(loads)
    .filter(([, load]) => load > 0)
    .map(([name, load]) => `${name} ${load.toFixed(4)}`)
    .join(', ') + ` ${unitWords(unit)}`;

function Calibrated({ id }: { id: number }) {
  const { value, trouble } = useResult<ColorantResult>(id);
  if (trouble) return <Nothing>{trouble}</Nothing>;
  if (!value) return <p class="first">The calibration is being fetched …</p>;
  const r = value.result;
  const nm = r.wavelengths_nm;
  return (
    <Card title={value.name || 'Calibrated'}>
      <p class="verdict">
        {r.colorants.length === 1 ? 'This colorant predicts' : `These ${r.colorants.length} colorants predict`} a swatch to about ΔE00{' '}
        {fixed(r.cross_validated_de00)}.
      </p>
      <p>
        On {r.substrate}
        {r.lot && `, lot ${r.lot}`}. Each swatch was predicted from all the others; this is the mean difference.
      </p>
      <Table
        caption="The colorants"
        head={['Colorant', `Calibrated from`, 'to', 'Held out, ΔE00', 'Take note']}
        rows={r.colorants.map((c) => [
          c.name,
          `${c.load_range[0].toFixed(4)} ${unitWords(r.load_unit)}`,
          `${c.load_range[1].toFixed(4)} ${unitWords(r.load_unit)}`,
          fixed(c.cross_validated_de00),
          c.warnings.join('; '),
        ])}
      />
      {r.advice.length > 0 && (
        <Cautions
          title="The next swatch that would teach the most"
          mark="i"
          items={r.advice.map(
            (a) => `${loadsWords(a.loads, r.load_unit)}: from ΔE00 ${fixed(a.before_de00, 3)} to ${fixed(a.after_de00, 3)}`,
          )}
        />
      )}
      <Fold title="Models and curves">
      <Plot
        title="What a unit of colorant absorbs, by wavelength"
        words={`Absorption of ${r.colorants.map((c) => c.name).join(', ')} by wavelength; the numbers stand in the table below`}
        x={{ label: 'nm', values: nm }}
        y="absorbed a unit"
        digits={4}
        lines={r.colorants.map((c) => ({ label: c.name, values: c.absorption }))}
      />
      <Plot
        title="What a unit of colorant scatters, by wavelength"
        words={`Scatter of ${r.colorants.map((c) => c.name).join(', ')} by wavelength; the numbers stand in the table below`}
        x={{ label: 'nm', values: nm }}
        y="scattered a unit"
        digits={4}
        lines={r.colorants.map((c) => ({ label: c.name, values: c.scattering }))}
      />
      <h4>Which model was taken, and why</h4>
        <Table
          caption="Models that were tried"
          hideCaption
          head={['Model', 'Held out, ΔE00', 'Mean', '95 %', 'Fit', 'Taken']}
          rows={r.laws.map((law) => [
            law.name,
            fixed(law.cross_validated_de00),
            fixed(law.mean_de00),
            fixed(law.p95_de00),
            fixed(law.fit_de00),
            law.chosen ? '✓ taken' : '',
          ])}
        />
      <Fold title={`What is left over, swatch by swatch (${r.residuals.length})`}>
        <Table
          caption="Residuals"
          hideCaption
          head={['Swatch', 'Loads', 'ΔE00', 'Held out', 'dL*', 'da*', 'db*', 'Remark']}
          rows={r.residuals.map((one) => [
            one.name,
            loadsWords(one.loads, r.load_unit),
            fixed(one.de00),
            fixed(one.cross_validated_de00),
            signed(one.dL, 2),
            signed(one.da, 2),
            signed(one.db, 2),
            [one.doubtful ? 'doubtful' : '', one.remark].filter(Boolean).join('; '),
          ])}
        />
      </Fold>
      </Fold>
      <Warnings items={[...r.palette_warnings, ...r.warnings]} />
      <Cautions
        items={[
          'dry pigment: raise no dust; respirator and extraction as safety data sheets and local rules say',
          'a calibration holds for this lot of tissue, these stocks and this state only',
        ]}
      />
    </Card>
  );
}

export function Ladder({ part }: { part: string }) {
  useBench();
  const all = palettes();
  const [asked, setAsked] = useState(0);
  const id = all.find((one) => one.id === asked || nameOf(one) === part)?.id ?? all[all.length - 1]?.id ?? 0;
  return (
    <>
      <p class="lead">A wash is planned from colorants whose ladders were read. This takes an afternoon, once for each lot of tissue.</p>
      <Guide onDone={(done) => (setAsked(done), go({ view: 'ladder' }))} />
      {all.length > 0 && (
        <Card title="Calibrated so far">
          <ul class="plain">
            {all.map((one) => (
              <li>
                <button type="button" class="act quiet" aria-pressed={one.id === id} onClick={() => setAsked(one.id)}>
                  {nameOf(one)}
                </button>{' '}
                <span class="quietly">
                  {one.entry.who}, {whenWords(one.entry.when)}
                </span>
              </li>
            ))}
          </ul>
        </Card>
      )}
      {id > 0 && <Calibrated key={id} id={id} />}
    </>
  );
}
