import { useState } from 'preact/hooks';
import { api } from './api';
import { BenchCard } from './benchcard';
import { KindForm } from './form';
import { LossSlips } from './losses';
import { Readings, ReadSoFar } from './readings';
import { hrefOf, loadSheet, nameOf, runJob, say, sayDecided, sheetThings, textOf, useBench, useColours, useDraft } from './state';
import { Slip } from './torn';
import type { CorrectResult, Lab, Thing } from './types';
import { Act, Arrives, Card, Cautions, Choice, directionWords, Field, fixed, Fold, labWords, Nothing, numberIn, signed, signer, stamp, Table, unitWords, Warnings } from './ui';
import { DecideOn, keptFor, useResult } from './wash';

const isStrength = (value: unknown): value is { strength: number; u95: number } =>
  !!value && typeof value === 'object' && 'strength' in value;

function Learned({ learned }: { learned: CorrectResult['learned'] }) {
  const strengths = Object.entries(learned).filter(([, value]) => isStrength(value));
  const offset = learned.offset_lab as Lab | undefined;
  const dosing = learned.of_which_dosing as number | undefined;
  return (
    <>
      <Table
        caption="What the trial taught"
        head={['Colorant', 'Against its calibration', 'Certain to']}
        rows={strengths.map(([name, value]) => {
          const { strength, u95 } = value as { strength: number; u95: number };
          const percent = 100 * (strength - 1);
          return [name, `${Math.abs(percent).toFixed(0)} % ${percent >= 0 ? 'stronger' : 'weaker'}`, `± ${(100 * u95).toFixed(0)} %`];
        })}
      />
      {offset && (
        <p>
          The calibration itself is off by {signed(offset[0], 2)} L*, {signed(offset[1], 2)} a*, {signed(offset[2], 2)} b*.
          {dosing !== undefined &&
            ` About ${(100 * dosing).toFixed(0)} % of the miss was chance (drops, pick-up) and will differ next time.`}
        </p>
      )}
    </>
  );
}

/// One verdict after a trial, in four words at most.
function verdictOf(result: CorrectResult): string {
  if (result.trial.verdict === 'within') return 'Near enough: stop';
  if (result.trial.verdict === 'undecided') return 'Read two more';
  if (!result.recipes.length) return 'Nothing here brings it nearer';
  return result.recipes[0].kind === 'coat' ? 'One more coat' : 'A new mix';
}

/// After a trial: its colour and its difference first, then one verdict, then what comes nearer.
function Correction({ sheet, loss, id }: { sheet: string; loss: Thing; id: number }) {
  const { value, trouble } = useResult<CorrectResult>(id);
  const labs = value ? [value.result.trial.lab, value.result.problem.lights[0].sheet_lab] : [];
  const [fill, ground] = useColours(labs, value?.result.problem.lights[0].light);
  if (trouble) return <Nothing>{trouble}</Nothing>;
  if (!value) return <p class="first">The correction is being fetched …</p>;
  const { result } = value;
  const light = result.problem.lights[0].light;
  const paper = result.problem.lights[0].sheet_lab;
  const nearer = result.recipes.filter((recipe) => recipe.aim_de00 < result.trial.aim_de00);
  const stop = result.trial.verdict === 'within';
  return (
    <>
      <Card title="What the trial says">
        <div class="card-slip">
          <Slip fill={fill} ground={ground} />
          <span class="quietly">
            left the sheet, right the trial{fill?.outside || ground?.outside ? '; hatched: this screen cannot show it' : ''}
          </span>
        </div>
        <p class="after-trial">
          <strong>ΔE00 {fixed(result.trial.de00)}</strong> from the sheet: {directionWords(result.trial.lab, paper)}.{' '}
          <span class="quietly">
            Read {labWords(result.trial.lab)}, sheet {labWords(paper)}, under {light}.
          </span>
        </p>
        <p class={`verdict ${stop ? '' : 'none'}`}>{verdictOf(result)}</p>
        <p>{result.what_now}</p>
        <Fold title="What the trial taught">
          <p>
            From the aim ΔE00 {fixed(result.trial.aim_de00)}, from the prediction {fixed(result.trial.predicted_de00)}.
          </p>
          <Learned learned={result.learned} />
          <Cautions title="Note" items={result.notes} mark="i" />
        </Fold>
        <Warnings items={result.warnings} />
      </Card>
      {!stop && (
        <div class="cards">
          {nearer.map((recipe, i) => (
            <BenchCard
              key={i}
              recipe={recipe}
              problem={result.problem}
              sheet={paper}
              light={light}
              draft={`card.${id}`}
            >
              <DecideOn sheet={sheet} loss={loss} computation={id} number={recipe.number} loads={recipe.loads} problem={result.problem} />
            </BenchCard>
          ))}
        </div>
      )}
    </>
  );
}

/// A trial's own page: what was laid down, its reading, the correction.
function TrialOf({ sheet, loss, recipe, trial }: { sheet: string; loss: Thing; recipe: Thing; trial: Thing }) {
  const name = nameOf(trial);
  const read = sheetThings(sheet, 'reading').some((r) => r.links.trial === name);
  const computation = sheetThings(sheet, 'computation').find((c) => c.id === Number(recipe.columns.computation));
  const take = async () => {
    const by = signer();
    if (!by) return;
    if (!computation) throw new Error('The computed list that this recipe comes from is not in the record any more');
    const { problem } = (await api.result<CorrectResult>(computation.id)).result;
    const title = `${problem.tissue} × ${problem.plies}, toned`;
    const kept = await api.keep({
      kind: 'fill',
      columns: {
        loss: `#${loss.id}`,
        name: title,
        ...(recipe.links.tissue ? { tissue: recipe.links.tissue } : {}),
        recipe: `#${recipe.id}`,
        plies: String(problem.plies),
        use: problem.use,
        ...(problem.side ? { side: problem.side } : {}),
        verdict: 'chosen',
        reasons: `as ${name} was read`,
      },
      by,
    });
    await loadSheet(sheet);
    sayDecided(kept, nameOf(loss), title);
  };
  const readings = () => (
    <Readings
      key={name}
      place={{ sheet, trial: name }}
      name={name}
      role="trial"
      draft={`trial.${sheet}.${name}`}
      hint="Read it dry, alone, over the backing of use."
      onKept={() => correct()}
    />
  );
  const correct = async () => {
    const by = signer();
    if (!by) return;
    if (!computation) throw new Error('The computed list that this recipe comes from is not in the record any more');
    const laid = numberIn(textOf(trial, 'coats'));
    const all = numberIn(textOf(recipe, 'coats'));
    const done = await runJob<CorrectResult>(
      'correct',
      {
        recipe_file: nameOf(computation),
        recipe: Number(recipe.columns.number ?? 1),
        after_coat: laid !== null && all !== null && laid < all ? laid : null,
        trials: { files: [name] },
      },
      { keep: `correction after ${name} ${stamp()}`, sheet, loss: nameOf(loss), by },
    );
    await loadSheet(sheet);
    say(`The correction after ${name}: ΔE00 ${fixed(done.result.trial.de00)} from the sheet now`);
  };
  return (
    <Card title={`Trial: ${name}`}>
      <p>
        {textOf(trial, 'coats') ? `${textOf(trial, 'coats')} coats laid` : 'All coats laid'}
        {textOf(trial, 'made') && `, ${textOf(trial, 'made')}`}. {textOf(trial, 'note')}
      </p>
      <ReadSoFar sheet={sheet} column="trial" name={name} />
      {read ? <Fold title="Read it again">{readings()}</Fold> : readings()}
      {read && (
        <>
          <div class="acts">
            <Act onAct={correct}>What should I change?</Act>
            <Act onAct={take}>Take it as the fill</Act>
          </div>
          <Fold title="What is left of it goes into the drawer">
            <KindForm
              kind="tissue"
              fixed={{ recipe: `#${recipe.id}`, ...(recipe.links.tissue ? { toned_from: recipe.links.tissue } : {}) }}
              first={['name', 'left_cm2', 'place']}
              button="Put it in the drawer"
              draft={`left.${sheet}.${name}`}
              sheet={sheet}
            />
          </Fold>
        </>
      )}
    </Card>
  );
}

function NewTrial({ sheet, loss, recipe }: { sheet: string; loss: string; recipe: Thing }) {
  const count = sheetThings(sheet, 'trial').length + 1;
  const [typed, setTyped, clear] = useDraft(`new.trial.${sheet}.${loss}`, { name: '', coats: '', made: '', note: '' });
  const set = (change: Partial<typeof typed>) => setTyped((old) => ({ ...old, ...change }));
  const keep = async () => {
    const by = signer();
    if (!by) return;
    const name = typed.name.trim() || `trial ${count} for ${loss}`;
    await api.keep({
      kind: 'trial',
      columns: {
        name,
        recipe: `#${recipe.id}`,
        ...(recipe.links.tissue ? { tissue: recipe.links.tissue } : {}),
        ...(typed.coats.trim() ? { coats: typed.coats.trim() } : {}),
        ...(typed.made.trim() ? { made: typed.made.trim() } : {}),
        ...(typed.note.trim() ? { note: typed.note.trim() } : {}),
      },
      by,
    });
    clear();
    await loadSheet(sheet);
    say(`Kept: ${name}`);
  };
  return (
    <Card title="A new trial">
      <p>One swatch, made as the card says, dried wholly.</p>
      <div class="fields">
        <Field label="Name" value={typed.name} onInput={(name) => set({ name })} help={`blank: trial ${count} for ${loss}`} />
        <Field
          label="Coats laid"
          type="number"
          value={typed.coats}
          onInput={(coats) => set({ coats })}
          help={`blank: all ${textOf(recipe, 'coats') || 'of them'}`}
        />
        <Field label="Made" value={typed.made} onInput={(made) => set({ made })} />
        <Field label="Note" value={typed.note} onInput={(note) => set({ note })} />
      </div>
      <Act main onAct={keep}>
        Enter the trial
      </Act>
    </Card>
  );
}

export function Trial({ sheet, part }: { sheet: string; part: string }) {
  useBench();
  const [chosen, setChosen] = useState('');
  const loss = sheetThings(sheet, 'loss').find((one) => nameOf(one) === part);
  const recipes = sheetThings(sheet, 'recipe').filter((r) => r.links.loss === part || r.links.loss === `${sheet}/${part}`);
  if (!loss || !recipes.length)
    return (
      <>
        <LossSlips sheet={sheet} part={part} view="trial" />
        <Nothing>
          {loss ? 'No recipe was decided on for it yet.' : 'Take a loss or a tear in hand.'}{' '}
          {loss && <a href={hrefOf({ sheet, view: 'wash', part })}>Plan a wash</a>}
        </Nothing>
      </>
    );
  const recipe = recipes.find((one) => nameOf(one) === chosen) ?? recipes[recipes.length - 1];
  const trials = sheetThings(sheet, 'trial').filter((t) => Number(t.columns.recipe) === recipe.id);
  const corrections = keptFor(sheet, part, ['correct']);
  return (
    <>
      <LossSlips sheet={sheet} part={part} view="trial" />
      {corrections[0] && (
        <Arrives of={corrections[0].id}>
          <Correction key={corrections[0].id} sheet={sheet} loss={loss} id={corrections[0].id} />
        </Arrives>
      )}
      {!trials.length && <NewTrial key={recipe.id} sheet={sheet} loss={part} recipe={recipe} />}
      {trials.map((trial) => (
        <TrialOf key={trial.id} sheet={sheet} loss={loss} recipe={recipe} trial={trial} />
      ))}
      {trials.length > 0 && (
        <Fold title="Enter another trial">
          <NewTrial key={recipe.id} sheet={sheet} loss={part} recipe={recipe} />
        </Fold>
      )}
      <Card title="The recipe in hand">
        <Choice label="Recipe" value={nameOf(recipe)} options={recipes.map(nameOf)} onChange={setChosen} />
        <p class="quietly">
          Dry colorant in {unitWords(textOf(recipe, 'load_unit'))}:{' '}
          {typeof recipe.columns.loads === 'object' && recipe.columns.loads
            ? Object.entries(recipe.columns.loads as Record<string, number>)
                .map(([name, load]) => `${name} ${Number(load).toFixed(3)}`)
                .join(', ')
            : textOf(recipe, 'loads')}
        </p>
      </Card>
    </>
  );
}
