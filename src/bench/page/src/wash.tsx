import { useState } from 'preact/hooks';
import { api } from './api';
import { BenchCard } from './benchcard';
import { keepShownOver, oversFor, shownOver, targetOf, useQuestion } from './fill';
import { LossSlips } from './losses';
import {
  complain,
  hrefOf,
  labThings,
  loadSheet,
  nameOf,
  palettes,
  runJob,
  say,
  sheetThings,
  textOf,
  useBench,
  useDraft,
  useLoaded,
} from './state';
import type { ColorantResult, Thing, WashResult } from './types';
import { Act, Arrives, Card, Cautions, Choice, Field, fixed, Fold, labWords, Nothing, numberIn, Pick, signer, stamp, Tick, Warnings, whenWords } from './ui';

interface Plan {
  palette: string;
  on: string;
  measured: boolean;
  method: string;
  volume: string;
  laid: string;
  area: string;
  pickUp: string;
  sheets: string;
  coats: string;
  tray: string;
  most: string;
  top: string;
  excluded: Record<string, string>;
}

const number = (text: string, what: string): number | null => {
  if (!text.trim()) return null;
  const value = numberIn(text);
  if (value === null) throw new Error(`${what} must be a number; found ‘${text}’`);
  return value;
};

/// Kept computations of a verb for a loss, the newest first.
export const keptFor = (sheet: string, loss: string, verbs: string[]): Thing[] =>
  sheetThings(sheet, 'computation')
    .filter((c) => verbs.includes(textOf(c, 'verb')) && (c.links.loss === loss || c.links.loss === `${sheet}/${loss}`))
    .sort((a, b) => b.id - a.id);

export function useResult<T>(id: number) {
  return useLoaded(`result ${id}`, async () => (id ? await api.result<T>(id) : null));
}

function Palette(props: { plan: Plan; set: (change: Partial<Plan>) => void }) {
  const all = palettes();
  const chosen = all.find((one) => nameOf(one) === props.plan.palette) ?? all[all.length - 1];
  const { value } = useResult<ColorantResult>(chosen?.id ?? 0);
  const { plan, set } = props;
  if (!all.length)
    return (
      <Nothing>
        No colorant was calibrated yet. <a href={hrefOf({ view: 'ladder' })}>Calibrate one by its ladder</a> first.
      </Nothing>
    );
  return (
    <>
      <div class="fields">
        <Choice
          label="Palette"
          value={chosen ? nameOf(chosen) : ''}
          options={all.map(nameOf)}
          onChange={(palette) => set({ palette, on: '' })}
          help={
            value
              ? `${value.result.colorants.map((c) => c.name).join(', ')}; calibrated on ${value.result.substrate}, held out ΔE00 ${fixed(value.result.cross_validated_de00)}`
              : undefined
          }
        />
        <Field
          label={value?.result.application === 'film' ? 'The fill in place, as read' : 'Tissue to be toned'}
          value={plan.on || value?.result.substrate || ''}
          onInput={(on) => set({ on })}
          list={labThings('tissue').map(nameOf)}
          help="the very lot that was calibrated, if it can be had"
        />
      </div>
      {value && (
        <Fold title="Leave a colorant out">
          <ul class="ticks">
            {value.result.colorants.map((colorant) => (
              <li>
                <Tick
                  label={`Leave out ${colorant.name}`}
                  on={colorant.name in plan.excluded}
                  onChange={(on) => {
                    const next = { ...plan.excluded };
                    if (on) next[colorant.name] = '';
                    else delete next[colorant.name];
                    set({ excluded: next });
                  }}
                />
                {colorant.name in plan.excluded && (
                  <Field
                    label={`Why ${colorant.name} is left out`}
                    value={plan.excluded[colorant.name]}
                    onInput={(why) => set({ excluded: { ...plan.excluded, [colorant.name]: why } })}
                    needed
                  />
                )}
              </li>
            ))}
          </ul>
        </Fold>
      )}
    </>
  );
}

function Planning({ sheet, loss, onDone }: { sheet: string; loss: Thing; onDone: (id: number) => void }) {
  const name = nameOf(loss);
  const [q] = useQuestion(sheet, loss);
  const [plan, setPlan] = useDraft<Plan>(`wash.${sheet}.${name}`, {
    palette: '',
    on: '',
    measured: true,
    method: 'bath',
    volume: '',
    laid: '',
    area: '',
    pickUp: '',
    sheets: '1',
    coats: '5',
    tray: '',
    most: '3',
    top: '3',
    excluded: {},
  });
  const [over, setOver] = useState(q.over || shownOver(sheet));
  const [plies, setPlies] = useState('1');
  const [aim, setAim] = useState({ L: q.aimL, C: q.aimC });
  const set = (change: Partial<Plan>) => setPlan((old) => ({ ...old, ...change }));
  const all = palettes();
  const palette = all.find((one) => nameOf(one) === plan.palette) ?? all[all.length - 1];
  const calibrated = useResult<ColorantResult>(palette?.id ?? 0).value;
  const on = plan.on || calibrated?.result.substrate || '';
  const film = calibrated?.result.application === 'film';
  const stocks = labThings('stock');
  const pickUps = labThings('pickup').filter((p) => p.links.tissue === on && textOf(p, 'method') === plan.method);

  const run = async () => {
    const by = signer();
    if (!by) return;
    if (!palette) throw new Error('A calibrated palette is needed first');
    if (!on) throw new Error('Say which tissue is to be toned');
    const area = number(plan.area, 'The area');
    if (plan.measured && stocks.length && (!plan.volume.trim() || area === null))
      throw new Error('Say how much wash you make and how large one sheet is. Only then can the drops be counted');
    const tolerance = numberIn(q.tolerance);
    for (const [colorant, why] of Object.entries(plan.excluded))
      if (!why.trim()) throw new Error(`Say why ${colorant} is left out`);
    const parameters = {
      ...targetOf(sheet, name),
      backings: [],
      on,
      palette: nameOf(palette),
      over,
      plies: film ? 1 : (number(plies, 'Plies') ?? 1),
      use: film ? 'loss' : q.use,
      side: q.side,
      at_most: number(plan.most, 'At most how many colorants') ?? 3,
      top: number(plan.top, 'How many recipes') ?? 3,
      exclude: Object.entries(plan.excluded),
      aim_dL: number(aim.L, 'The aim'),
      aim_dC: number(aim.C, 'The aim') ?? 0,
      viewing: { lights: [q.view, ...q.gallery.filter((light) => light !== q.view)], observer_deg: null },
      tolerance_de00: tolerance ?? 1.8,
      tolerance_is_default: tolerance === null,
      method: film ? 'brush' : plan.method,
      stocks: plan.measured && stocks.length ? 'stocks' : '',
      pick_up_ml_m2: film || plan.method === 'brush' ? null : number(plan.pickUp, 'The pick-up'),
      volume_ml: number(plan.volume, 'The volume'),
      laid_ml: film || plan.method === 'brush' ? number(plan.laid, 'What is laid down') : null,
      area_m2: area === null ? null : area / 10000,
      sheets: number(plan.sheets, 'How many sheets') ?? 1,
      coats: number(plan.coats, 'Coats') ?? 5,
      tray_ml: film ? 0 : (number(plan.tray, 'What the tray needs') ?? 0),
    };
    const done = await runJob<WashResult>('wash', parameters, {
      keep: `wash for ${name} ${stamp()}`,
      sheet,
      loss: name,
      by,
    });
    await loadSheet(sheet);
    const newest = done.kept_id ?? keptFor(sheet, name, ['wash'])[0]?.id ?? 0;
    say(`${done.result.recipes.length} recipes for ${name}`);
    onDone(newest);
  };

  return (
    <Card title={`A wash for ${name}`}>
      <p>
        {film
          ? 'Colour for added material only: a film goes on the fill in place, inside its edge.'
          : 'Colour for added material only: the tissue is toned and dried away from the sheet.'}
      </p>
      <Palette plan={plan} set={set} />
      <div class="fields">
        <Choice label="Shown over" value={over} options={oversFor(q.use, over)} onChange={(name) => {
          setOver(name);
          keepShownOver(sheet, name).catch(complain);
        }} />
        {!film && <Field label="Plies" type="number" value={plies} onInput={setPlies} />}
        <Field label="Lighter than the sheet by L*" type="number" value={aim.L} onInput={(L) => setAim({ ...aim, L })} />
        <Field label="Stronger (+) or duller (−) by C*" type="number" value={aim.C} onInput={(C) => setAim({ ...aim, C })} />
      </div>
      {!film && (
        <Pick
          legend="How it is laid on"
          value={plan.method}
          options={[
            ['bath', 'dipped in a bath'],
            ['brush', 'brushed'],
          ]}
          onChange={(method) => set({ method })}
        />
      )}
      <Tick
        label={
          stocks.length
            ? `Measured out from the ${stocks.length} stocks in the record`
            : 'No stock is in the record: amounts in g/m² only. Stocks are entered in the drawer'
        }
        on={plan.measured && stocks.length > 0}
        disabled={!stocks.length}
        onChange={(measured) => set({ measured })}
      />
      {plan.measured && stocks.length > 0 && (
        <div class="fields">
          <Field label="Volume of the wash" unit="ml" type="number" value={plan.volume} onInput={(volume) => set({ volume })} />
          <Field
            label="Area of one sheet"
            unit="cm²"
            type="number"
            value={plan.area}
            onInput={(value) => set({ area: value })}
            help={numberIn(plan.area) !== null ? `that is ${numberIn(plan.area)! / 10000} m²` : undefined}
          />
          {(film || plan.method === 'brush') && (
            <Field
              label="Of it, brushed on"
              unit="ml"
              type="number"
              value={plan.laid}
              onInput={(laid) => set({ laid })}
              help="all of it where this is left empty"
            />
          )}
          {!film && plan.method === 'bath' && (
            <Field
              label="Pick-up"
              unit="ml/m²"
              type="number"
              value={plan.pickUp}
              onInput={(pickUp) => set({ pickUp })}
              help={
                pickUps.length
                  ? `weighed: ${pickUps.map((p) => textOf(p, 'ml_m2')).join(', ')}`
                  : 'wet minus dry weight over area: weigh a piece'
              }
            />
          )}
          <Field label="Sheets" type="number" value={plan.sheets} onInput={(sheets) => set({ sheets })} />
          <Field label="Coats" type="number" value={plan.coats} onInput={(coats) => set({ coats })} help="1 to 5 thin ones" />
          {plan.method === 'bath' && !film && (
            <Field label="The tray needs at least" unit="ml" type="number" value={plan.tray} onInput={(tray) => set({ tray })} />
          )}
        </div>
      )}
      <Fold title="How far to search">
        <div class="fields">
          <Field label="Colorants at most" type="number" value={plan.most} onInput={(most) => set({ most })} />
          <Field label="Recipes to see" type="number" value={plan.top} onInput={(value) => set({ top: value })} />
        </div>
      </Fold>
      <div class="acts">
        <Act main onAct={run} disabled={!palette}>
          Plan the wash
        </Act>
      </div>
    </Card>
  );
}

/// A recipe that was decided on becomes a thing of the record, on which trials hang.
export function DecideOn(props: {
  sheet: string;
  loss: Thing;
  computation: number;
  number: number;
  loads: Record<string, number>;
  problem: WashResult['problem'];
}) {
  const decide = async () => {
    const by = signer();
    if (!by) return;
    const loss = nameOf(props.loss);
    const tissues = labThings('tissue').map(nameOf);
    const name = `${loss}, recipe ${props.number} of ${stamp()}`;
    await api.keep({
      kind: 'recipe',
      columns: {
        name,
        loss: `#${props.loss.id}`,
        ...(tissues.includes(props.problem.tissue) ? { tissue: props.problem.tissue } : {}),
        computation: `#${props.computation}`,
        number: String(props.number),
        loads: Object.entries(props.loads)
          .map(([colorant, load]) => `${colorant}=${load}`)
          .join(', '),
        load_unit: props.problem.palette.load_unit,
        application: props.problem.palette.application,
        method: props.problem.dispensing.method,
        coats: String(props.problem.dispensing.coats),
      },
      by,
    });
    await loadSheet(props.sheet);
    say(`Decided on: ${name}`);
    location.hash = hrefOf({ sheet: props.sheet, view: 'trial', part: loss });
  };
  return (
    <div class="acts">
      <Act main onAct={decide}>
        Make a trial of this recipe
      </Act>
    </div>
  );
}

function Recipes({ sheet, loss, id }: { sheet: string; loss: Thing; id: number }) {
  const { value, trouble } = useResult<WashResult>(id);
  if (trouble) return <Nothing>{trouble}</Nothing>;
  if (!value) return <p class="first">The cards are being fetched …</p>;
  const wash = value.result;
  const light = wash.lights[0].name;
  return (
    <>
      <Card title="The recipes">
        <p class={`verdict ${wash.within_tolerance ? '' : 'none'}`}>
          {wash.verdict}{' '}
          Untoned: {labWords(wash.untoned.lab)}, ΔE00 {fixed(wash.untoned.de00)}.
        </p>
        {wash.nearer.length > 0 && (
          <ul>
            {wash.nearer.map((n) => (
              <li>
                would bring it nearer: {n.what}, ΔE00 {fixed(n.aim_de00)}
              </li>
            ))}
          </ul>
        )}
        <p class="quietly">
          {wash.searched} sets of colorants were searched; {wash.exact ? `the list is complete (${wash.proof})` : `the list may not be complete: ${wash.why_not_exact}`}.
        </p>
        <Cautions title="Note" items={wash.notes} mark="i" />
        <Warnings items={wash.warnings} />
      </Card>
      {[wash.recipes.slice(0, 1), wash.recipes.slice(1)].map((recipes, rest) => {
        const cards = (
          <div class="cards">
        {recipes.map((recipe) => (
          <BenchCard key={recipe.number} recipe={recipe} problem={wash.problem} sheet={wash.sheet} light={light} draft={`card.${id}`}>
            <DecideOn sheet={sheet} loss={loss} computation={id} number={recipe.number} loads={recipe.loads} problem={wash.problem} />
          </BenchCard>
        ))}
          </div>
        );
        if (!recipes.length) return null;
        return rest ? <Fold title={recipes.length === 1 ? 'One more recipe' : `${recipes.length} more recipes`}>{cards}</Fold> : cards;
      })}
    </>
  );
}

export function Wash({ sheet, part }: { sheet: string; part: string }) {
  useBench();
  const [chosen, setChosen] = useState(0);
  const loss = sheetThings(sheet, 'loss').find((one) => nameOf(one) === part);
  if (!loss)
    return (
      <>
        <LossSlips sheet={sheet} part={part} view="wash" />
        <Nothing>Take a loss or a tear in hand: a wash is planned for one of them.</Nothing>
      </>
    );
  const kept = keptFor(sheet, part, ['wash']);
  const id = kept.some((one) => one.id === chosen) ? chosen : (kept[0]?.id ?? 0);
  return (
    <>
      <LossSlips sheet={sheet} part={part} view="wash" />
      <Planning key={part} sheet={sheet} loss={loss} onDone={setChosen} />
      {kept.length > 1 && (
        <Card title="Planned so far">
          <ul class="plain">
            {kept.map((one) => (
              <li>
                <button type="button" class="act quiet" aria-pressed={one.id === id} onClick={() => setChosen(one.id)}>
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
      {id > 0 && (
        <Arrives of={id}>
          <Recipes key={id} sheet={sheet} loss={loss} id={id} />
        </Arrives>
      )}
    </>
  );
}
