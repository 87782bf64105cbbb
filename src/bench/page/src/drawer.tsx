import { useState } from 'preact/hooks';
import { api } from './api';
import { KindForm } from './form';
import { PaperChip, useDrawerTones } from './paper';
import { Plot } from './plot';
import { ThingActs } from './record';
import { Readings } from './readings';
import { NextCard, nextOfSheet } from './standing';
import { labThings, loadRecord, nameOf, say, state, textOf, useBench, useDraft } from './state';
import type { Thing } from './types';
import type { LampAnswer } from './types';
import { Act, Card, Field, Fold, labWords, Nothing, numberIn, signer, Table, Warnings } from './ui';

// What belongs to no sheet: the tissues in the drawer, what lies behind, colorants, stocks, droppers,
// lamps and instruments.

/// What light a lamp gives, drawn when it is asked for.
function LampLight({ name }: { name: string }) {
  const [lamp, setLamp] = useState<LampAnswer['lamps'][number] | null>(null);
  if (!lamp)
    return (
      <Act onAct={async () => setLamp((await api.compute<LampAnswer>('lamp', { lamps: [name] })).result.lamps[0])}>
        Show its light
      </Act>
    );
  const peak = Math.max(...lamp.power);
  const temperature =
    lamp.cct_K === null ? 'no colour temperature' : `${lamp.cct_K.toFixed(0)} K, Duv ${(lamp.duv ?? 0).toFixed(4)}`;
  const below =
    lamp.below_400_percent === null ? 'below 400 nm not read' : `${lamp.below_400_percent.toFixed(2)} % of it below 400 nm`;
  return (
    <>
      <p>
        x {lamp.x.toFixed(4)}, y {lamp.y.toFixed(4)}; {temperature}; {below}.
      </p>
      <Warnings items={lamp.warnings} />
      <Plot
        title={`Power of ${name} at each wavelength, its highest 1`}
        x={{ label: 'Wavelength, nm', values: lamp.wavelengths_nm }}
        y="Power"
        lines={[{ label: name, values: lamp.power.map((one) => one / peak) }]}
        words={`The power of ${name} from ${lamp.wavelengths_nm[0]} to ${lamp.wavelengths_nm.at(-1)} nm; ${temperature}`}
      />
    </>
  );
}

function Things(props: { kind: string; words: (thing: Thing) => string; none: string }) {
  const things = labThings(props.kind);
  if (!things.length) return <Nothing>{props.none}</Nothing>;
  return (
    <ul class="plain things">
      {things.map((thing) => (
        <li key={thing.id}>
          <p>
            <strong>{nameOf(thing)}</strong> {props.words(thing)}
          </p>
          {props.kind === 'lamp' && <LampLight key={thing.row} name={nameOf(thing)} />}
          <ThingActs thing={thing} />
        </li>
      ))}
    </ul>
  );
}

/// A computed length of digits is not for reading.
const short = (text: string) => (/^\d*\.\d{6,}$/.test(text) ? String(Number(Number(text).toPrecision(4))) : text);

const saidOf = (thing: Thing, parts: [string, string][]) =>
  parts
    .filter(([column]) => textOf(thing, column))
    .map(([column, words]) => words.replace('…', short(textOf(thing, column))))
    .join(', ');

const loadsOf = (thing: Thing): string => {
  const value = thing.columns.dry_g_ml;
  return value && typeof value === 'object'
    ? Object.entries(value).map(([name, g]) => `${name} ${g} g/ml`).join(', ')
    : textOf(thing, 'dry_g_ml');
};

/// A dropper from its weighing: weight over count and density.
function WeighDrops() {
  const [typed, setTyped, clear] = useDraft('weigh.drops', { name: '', drops: '20', grams: '', density: '1.00' });
  const set = (change: Partial<typeof typed>) => setTyped((old) => ({ ...old, ...change }));
  const [drops, grams, density] = [typed.drops, typed.grams, typed.density].map(numberIn);
  const ml = drops && grams && density ? grams / drops / density : null;
  const keep = async () => {
    const by = signer();
    if (!by) return;
    if (!typed.name.trim()) throw new Error('Give the dropper a name');
    if (ml === null || ml <= 0) throw new Error('Type how many drops were weighed, their weight and their density');
    await api.keep({
      kind: 'dropper',
      columns: { name: typed.name.trim(), drop_ml: String(Number(ml.toPrecision(6))), drops_weighed: String(drops) },
      by,
    });
    clear();
    await loadRecord();
    say(`Kept: dropper ${typed.name.trim()}, one drop ${ml.toFixed(4)} ml`);
  };
  return (
    <Fold title="Weigh a dropper">
      <div class="fields">
        <Field label="Name" value={typed.name} onInput={(v) => set({ name: v })} />
        <Field label="Drops weighed" type="number" value={typed.drops} onInput={(v) => set({ drops: v })} />
        <Field label="They weigh" unit="g" type="number" value={typed.grams} onInput={(v) => set({ grams: v })} />
        <Field label="Density" unit="g/ml" type="number" value={typed.density} onInput={(v) => set({ density: v })} />
      </div>
      <p role="status">{ml ? `One drop is ${ml.toFixed(4)} ml.` : 'Weigh some 20 drops on the balance.'}</p>
      <Act main onAct={keep}>
        Keep this dropper
      </Act>
    </Fold>
  );
}

function Section(props: {
  title: string;
  kind: string;
  first: string[];
  none: string;
  words: (thing: Thing) => string;
  hidden?: string[];
  /// What is likely, filled in.
  start?: Record<string, string>;
  button: string;
}) {
  const [open, setOpen] = useState(false);
  return (
    <Card title={props.title}>
      <Things kind={props.kind} words={props.words} none={props.none} />
      {open ? (
        <KindForm
          kind={props.kind}
          first={props.first}
          hidden={props.hidden}
          button={props.button}
          start={props.start}
          draft={`new.${props.kind}`}
        />
      ) : (
        <button type="button" class="act" onClick={() => setOpen(true)}>
          {props.button}
        </button>
      )}
    </Card>
  );
}

export function Drawer() {
  const { record } = useBench();
  const tissues = labThings('tissue');
  const droppers = labThings('dropper');
  const tones = useDrawerTones();
  const [query, setQuery] = useState('');
  const wanted = tissues.filter((t) => JSON.stringify([t.columns, t.links]).toLowerCase().includes(query.toLowerCase()));
  return (
    <>
      <p class="lead">Everything that lies ready for any sheet. What is toned today goes back here, with what is left of it.</p>
      {state.inHand.sheet && tissues.length > 0 && state.sheets[state.inHand.sheet] && (
        <NextCard next={nextOfSheet(state.inHand.sheet)} title={`The next step for ${state.inHand.sheet}`} />
      )}
      <Card title="Readings of tissues and of what lies behind">
        <Readings
          place={{}}
          name=""
          role="tissue"
          draft="drawer"
          hint="Read each tissue over black and over white. Read the black, the white and the mount board themselves too."
        />
        {record?.imported?.length ? (
          <Fold title={`Files of readings brought in: ${record.imported.length}`}>
            <Table
              caption="Files of readings that belong to no sheet"
              hideCaption
              head={['File', 'Readings', 'Names']}
              rows={record.imported.map((one) => [
                one.file,
                Object.entries(one.roles).map(([role, n]) => `${n} ${role || 'without role'}`).join(', '),
                one.names.slice(0, 12).join(', ') + (one.names.length > 12 ? ` and ${one.names.length - 12} more` : ''),
              ])}
            />
          </Fold>
        ) : null}
        {record?.backings?.length ? <p>Read as a backing: {record.backings.join(', ')}.</p> : null}
      </Card>
      <Card title="Tissues in the drawer">
        {tissues.length > 6 && <Field label="Look for" value={query} onInput={setQuery} />}
        {tissues.length ? (
          <ul class="plain things many">
            {wanted.map((tissue) => (
              <li key={tissue.id}>
                <p class="with-paper">
                  {tones[nameOf(tissue)] && (
                    <PaperChip
                      lab={tones[nameOf(tissue)].lab}
                      light={tones[nameOf(tissue)].light}
                      words={`${labWords(tones[nameOf(tissue)].lab)}, ${tones[nameOf(tissue)].conditions}`}
                    />
                  )}
                  <span>
                  <strong>{nameOf(tissue)}</strong>{' '}
                  {saidOf(tissue, [
                    ['lot', 'lot …'],
                    ['fibre', '…'],
                    ['grammage_g_m2', '… g/m²'],
                    ['left_cm2', '… cm² left'],
                    ['place', 'in …'],
                  ])}
                  </span>
                </p>
                <ThingActs thing={tissue} />
              </li>
            ))}
          </ul>
        ) : (
          <Nothing>The drawer is empty.</Nothing>
        )}
        <Fold title="A tissue by hand">
          <KindForm kind="tissue" first={['name', 'lot', 'grammage_g_m2', 'left_cm2', 'place']} button="Put it in the drawer" draft="new.tissue" />
        </Fold>
      </Card>
      <div class="two">
        <Section
          title="Colorants"
          kind="colorant"
          first={['name', 'colour_index', 'medium', 'caution', 'excluded']}
          none="No colorant is kept yet."
          button="Enter a colorant"
          words={(t) => saidOf(t, [['colour_index', '…'], ['medium', '…'], ['excluded', 'never used: …']])}
        />
        <Card title="Droppers">
          <Things
            kind="dropper"
            none="No dropper is kept yet."
            words={(t) => saidOf(t, [['drop_ml', 'one drop … ml'], ['drops_weighed', '… drops weighed']])}
          />
          <WeighDrops />
        </Card>
        <Section
          title="Stocks"
          kind="stock"
          first={['name', 'dry_g_ml', 'dropper']}
          start={droppers.length ? { dropper: nameOf(droppers[droppers.length - 1]) } : undefined}
          none="No stock is kept yet."
          button="Enter a stock"
          words={(t) => [loadsOf(t), t.links.dropper && `counted with ${t.links.dropper}`].filter(Boolean).join(', ')}
        />
        <Section
          title="Pick-ups"
          kind="pickup"
          first={['tissue', 'method', 'ml_m2', 'sd_ml_m2', 'weighed']}
          none="Nothing was weighed yet."
          button="Enter a weighing"
          words={(t) => `${t.links.tissue ?? ''}, ${saidOf(t, [['method', '…'], ['ml_m2', '… ml/m²']])}`}
        />
        <Section
          title="Lamps of the house"
          kind="lamp"
          first={['name', 'place', 'power', 'cct_k']}
          none="No lamp of your own; published ones are always there."
          button="Enter a lamp"
          words={(t) => saidOf(t, [['place', '…'], ['cct_k', '… K']])}
        />
        <Section
          title="Instruments"
          kind="instrument"
          first={['name', 'geometry', 'aperture_mm', 'reproducibility_de00', 'checked']}
          none="No instrument is kept yet."
          button="Enter an instrument"
          words={(t) => saidOf(t, [['geometry', '…'], ['aperture_mm', '… mm']])}
        />
      </div>
    </>
  );
}
