import type { ComponentChildren } from 'preact';
import { useRef } from 'preact/hooks';
import { useColours, useDraft } from './state';
import { Slip } from './torn';
import { Figures } from './fill';
import type { Lab, Recipe, WashProblem } from './types';
import { Cautions, directionWords, fixed, Fold, labWords, pliesWords, signed, Table, unitWords } from './ui';

const loadsWords = (loads: Record<string, number>, unit: string) =>
  Object.entries(loads)
    .map(([name, load]) => `${name} ${load.toFixed(3)}`)
    .join(', ') + ` ${unitWords(unit)}`;

/// What is measured out, ticked off as it goes into the tray.
function Measure({ recipe, draft }: { recipe: Recipe; draft: string }) {
  const [done, setDone] = useDraft<string[]>(draft, []);
  if (!recipe.dispense.length)
    return <Cautions title="Not measured out" items={recipe.no_dispense ?? ['no stocks were named']} mark="i" />;
  const volume = recipe.dispense[0].of_volume_ml;
  const withDrops = recipe.dispense.some((item) => item.drops !== null);
  return (
    <div class="measure">
      <p>
        Makes <strong>{fixed(volume, 1)} ml</strong>:
      </p>
      <ul>
        {recipe.dispense.map((item) => {
          const on = done.includes(item.stock);
          return (
            <li>
              <label class={`measure-line${on ? ' on' : ''}`}>
                <input
                  type="checkbox"
                  checked={on}
                  onChange={() => setDone(on ? done.filter((one) => one !== item.stock) : [...done, item.stock])}
                />
                <span class="measure-what">{item.stock}</span>
                <span class="measure-drops">
                  {item.drops !== null ? `${item.drops} ${item.drops === 1 ? 'drop' : 'drops'}` : ''}
                </span>
                <span class="measure-ml">{fixed(item.drops !== null ? item.drops_ml : item.ml)} ml</span>
              </label>
            </li>
          );
        })}
      </ul>
      {withDrops && recipe.whole_drops && (
        <p>
          Predicted with these whole drops: difference from the sheet ΔE00 {fixed(recipe.whole_drops.de00)}.
          {recipe.one_drop_stock &&
            ` One drop of ${recipe.one_drop_stock} more or less changes ΔE00 by ${fixed(recipe.one_drop_de00)}.`}
        </p>
      )}
    </div>
  );
}

/// Coat by coat as strips on the sheet's ground, to hold the drying tissue against.
function Coats({ recipe, sheet, light }: { recipe: Recipe; sheet: Lab; light: string }) {
  const colours = useColours([sheet, ...recipe.coats.map((coat) => coat.lab)], light);
  if (recipe.coats.length < 2) return null;
  const before = recipe.coats[recipe.coats.length - 2];
  return (
    <>
      <ol class="coats" aria-label="Coat by coat, dry">
        {recipe.coats.map((coat, i) => (
          <li>
            <Slip fill={colours[i + 1]} ground={colours[0]} />
            <span>
              <strong>{coat.n}</strong> <span class="figures">ΔE00 {fixed(coat.de00)}</span>
            </span>
          </li>
        ))}
      </ol>
      <p class="stop">Stop and read the dry sheet after coat {before.n}: colour can be added, never taken away.</p>
    </>
  );
}

function CoatsInFigures({ recipe }: { recipe: Recipe }) {
  if (recipe.coats.length < 2) return null;
  return (
    <Table
      caption="Coat by coat, dry: from the sheet, and on the light sheet"
      head={['Coat', 'Colour', 'ΔE00', 'Light sheet']}
      rows={recipe.coats.map((coat) => [
        coat.n,
        <span class="figures">{labWords(coat.lab)}</span>,
        fixed(coat.de00),
        coat.transmitted.known && coat.transmitted.dL !== null ? `${signed(coat.transmitted.dL, 0)} L*` : 'not known',
      ])}
    />
  );
}

/// One recipe as a card to prop up behind the sink.
export function BenchCard(props: {
  recipe: Recipe;
  problem: WashProblem;
  sheet: Lab;
  light: string;
  draft: string;
  children?: ComponentChildren;
}) {
  const { recipe, problem } = props;
  const [fill, ground] = useColours([recipe.lab, props.sheet], props.light);
  const card = useRef<HTMLElement>(null);
  const print = () => {
    card.current?.classList.add('printed');
    document.body.classList.add('one-card');
    window.print();
    document.body.classList.remove('one-card');
    card.current?.classList.remove('printed');
  };
  return (
    <article class="bench-card" aria-label={`Recipe ${recipe.number}`} ref={card}>
      <span class="hole" aria-hidden="true" />
      <header>
        <h3>
          Recipe {recipe.number}
          <span class="quietly">{recipe.kind === 'coat' ? 'one more coat' : 'a new mix'}</span>
        </h3>
        <p>
          {pliesWords(problem.plies)} of {problem.tissue} for {problem.target}, over {problem.over};{' '}
          {problem.dispensing.method === 'brush' ? 'brushed' : 'dipped'}, {recipe.coats.length}{' '}
          {recipe.coats.length === 1 ? 'coat' : 'coats'}
        </p>
      </header>
      <Measure recipe={recipe} draft={`${props.draft}.${recipe.number}`} />
      <div class="card-slip">
        <Slip fill={fill} ground={ground} />
        <p>
          <strong>
            ΔE00 {fixed(recipe.de00)}, 95 % of sheets within ΔE00 {fixed(recipe.u95_de00)} of that
          </strong>
          : {directionWords(recipe.lab, props.sheet)}.{' '}
          <span class="quietly">
            Left the sheet, right the toned tissue, predicted{fill?.outside ? '; hatched: this screen cannot show it' : ''}.
          </span>
        </p>
      </div>
      <Coats recipe={recipe} sheet={props.sheet} light={props.light} />
      {recipe.at_limit && <p class="note-line">! a colorant stands at its highest calibrated amount</p>}
      <Cautions title="At the sink" items={recipe.advice ?? []} mark="i" />
      <Cautions items={recipe.cautions} />
      <Fold title="Its figures">
        <CoatsInFigures recipe={recipe} />
        <Figures
          de00={recipe.de00}
          dL={recipe.dL}
          da={recipe.da}
          db={recipe.db}
          worst={recipe.worst_de00}
          worstLight={recipe.worst_light}
          transmitted={recipe.transmitted}
          light={props.light}
          rest={[
            ['ΔE00 from the aim', fixed(recipe.aim_de00)],
            ['95 % of sheets come within', `ΔE00 ${fixed(recipe.u95_de00)}`],
            ...(recipe.pick_up_u95_de00 !== undefined
              ? ([['Sheet to sheet, by pick-up', `ΔE00 ${fixed(recipe.pick_up_u95_de00)}`]] as [string, string][])
              : []),
            ['Dry colorant', loadsWords(recipe.loads, recipe.load_unit)],
          ]}
        />
      </Fold>
      {props.children}
      <div class="acts">
        <button type="button" class="act quiet print" onClick={print}>
          Print the card
        </button>
      </div>
    </article>
  );
}
