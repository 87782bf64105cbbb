import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { api } from './api';
import { InPlace } from './inplace';
import { LossSlips } from './losses';
import { realPhotographs, useOutline } from './marks';
import {
  backingNames,
  complain,
  fetchColours,
  hrefOf,
  knownColour,
  labThings,
  loadSheet,
  nameOf,
  sayDecided,
  sheetThings,
  state,
  textOf,
  useBench,
  useDraft,
  wordsOf,
} from './state';
import { NextCard } from './standing';
import { FilledLoss, Slip } from './torn';
import type { Candidate, Lab, Ranking, Thing, Transmitted } from './types';
import {
  Act,
  Card,
  Cautions,
  Choice,
  Field,
  fixed,
  Fold,
  labWords,
  lampOption,
  lampWords,
  Nothing,
  numberIn,
  Pick,
  ScreenNote,
  signed,
  signer,
  stamp,
  Table,
  Tick,
  Warnings,
} from './ui';

export interface Question {
  over: string;
  use: string;
  side: string;
  view: string;
  gallery: string[];
  fewest: number;
  most: number;
  tolerance: string;
  aimL: string;
  aimC: string;
}

const gallery = ['D65', 'LED-B1', 'LED-B2', 'LED-B3', 'A'];
const many = 12;

/// The name under which the readings of a loss are found.
export function targetOf(sheet: string, loss: string): { target: string; target_name: string } {
  const linked = sheetThings(sheet, 'reading').filter((r) => r.links.loss === loss);
  if (!linked.length) return { target: loss, target_name: '' };
  const own = linked.some((r) => String(r.columns.name) === loss);
  return { target: `${sheet}/${loss}`, target_name: own ? loss : '' };
}

/// What lies behind the sheet when it is shown, as it was entered; '' where nobody has said it yet.
export const shownOver = (sheet: string) => {
  const thing = sheetThings(sheet, 'sheet')[0];
  return thing ? textOf(thing, 'shown_over') : '';
};

/// Backings to choose from. Bare tissue lies behind a sheet only as its lining.
export const oversFor = (use: string, over: string): [string, string][] => {
  const tissues = labThings('tissue').map(nameOf);
  const names = backingNames().filter((name) => use === 'lining' || !tissues.includes(name));
  const all = [...new Set([...names, over].filter(Boolean))].map((name): [string, string] => [name, name]);
  return over ? all : [['', all.length ? 'choose what lies behind it' : 'no backing was read yet'], ...all];
};

/// Asked once for a sheet: the first answer is kept with it.
export async function keepShownOver(sheet: string, over: string) {
  const thing = sheetThings(sheet, 'sheet')[0];
  if (!thing || !over || textOf(thing, 'shown_over') || !state.by.trim()) return;
  await api.keep({
    kind: 'sheet',
    thing: `#${thing.id}`,
    columns: { shown_over: over },
    why: 'what lies behind it when it is shown',
    by: state.by.trim(),
  });
  await loadSheet(sheet);
}

export function useQuestion(sheet: string, loss: Thing | undefined) {
  return useDraft<Question>(`fill.${sheet}.${loss ? nameOf(loss) : ''}`, {
    over: shownOver(sheet),
    use: loss && textOf(loss, 'nature') === 'tear' ? 'tear' : 'loss',
    side: 'back',
    view: 'D65',
    gallery,
    fewest: 1,
    most: 4,
    tolerance: '',
    aimL: '',
    aimC: '',
  });
}

function parametersOf(sheet: string, loss: string, q: Question, top: number | null, trials = 1000) {
  const tolerance = numberIn(q.tolerance);
  return {
    ...targetOf(sheet, loss),
    tissues: ['drawer'],
    over: q.over,
    question: {
      viewing: { lights: [q.view, ...q.gallery.filter((light) => light !== q.view)], observer_deg: null },
      uses: [q.use],
      side: q.side,
      fewest_plies: q.fewest,
      most_plies: q.most,
      tolerance_de00: tolerance ?? 1.8,
      tolerance_is_default: tolerance === null,
      aim_dL: numberIn(q.aimL),
      aim_dC: numberIn(q.aimC) ?? 0,
      top,
      trials,
    },
  };
}

const keyOf = (c: Candidate) => [c.tissue, c.lot, c.state, c.plies, c.use, c.side].join('|');
const titleOf = (c: Candidate) =>
  `${c.tissue}${c.state === 'pasted' || c.state === 'sized' ? ` (${c.state})` : ''} × ${c.plies}`;

export function lightSheetWords(t: Transmitted): string {
  if (!t.known || t.dL === null) return 'light sheet not known';
  return `light sheet ${signed(t.dL, 0)} L*`;
}

interface Shown {
  ranking: Ranking;
  question: Question;
}

function useRanking(sheet: string, loss: string, q: Question, all: boolean) {
  const [shown, setShown] = useState<Shown | null>(null);
  const [trouble, setTrouble] = useState('');
  const ready = !!q.over && sheetThings(sheet, 'reading').length > 0;
  // The same question of a record that has changed since is another one.
  const counts = (state.record?.counts ?? []).map((c) => c.count).join(',');
  const key = JSON.stringify([sheet, loss, q, all, ready, counts]);
  const typed = useRef('');
  useEffect(() => {
    if (!ready) return;
    const stop = new AbortController();
    const figures = [q.tolerance, q.aimL, q.aimC].join('|');
    // Typing settles first; a lamp or a ply answers at once.
    const wait = typed.current && figures !== typed.current ? 300 : 0;
    typed.current = figures || '-';
    // First the order and the colours; the chances of standing first, which take draws, come after.
    const show = async (trials: number) => {
      const asked = parametersOf(sheet, loss, q, all ? null : many, trials);
      const { result } = await api.rank<Ranking>(asked, stop.signal);
      const under = (lab: Record<string, { lab: Lab }>) => lab[q.view].lab;
      await fetchColours([under(result.sheet.by_light), ...result.candidates.map((c) => under(c.by_light))], q.view, stop.signal);
      if (!stop.signal.aborted) setShown({ ranking: result, question: q });
    };
    const fail = (error: unknown) => !stop.signal.aborted && setTrouble(wordsOf(error));
    let later = 0;
    const timer = setTimeout(() => {
      show(0)
        .then(() => {
          if (stop.signal.aborted) return;
          setTrouble('');
          later = window.setTimeout(() => show(1000).catch(fail), 700);
        })
        .catch(fail);
    }, wait);
    return () => {
      clearTimeout(timer);
      clearTimeout(later);
      stop.abort();
    };
  }, [key]);
  return { shown, trouble, ready };
}

const lampNames = (q: Question) => [...new Set([...gallery, ...q.gallery, q.view, ...labThings('lamp').map(nameOf)])];

function Lamps({ q, set }: { q: Question; set: (change: Partial<Question>) => void }) {
  const names = lampNames(q);
  const others = (state.record?.lights ?? []).filter((light) => !names.includes(light));
  return (
    <div class="lamps">
      <fieldset>
        <legend>Lamps that count for the worst lamp</legend>
        <div class="ticks">
          {names.map((name) => (
            <Tick
              label={lampOption(name)[1]}
              on={name === q.view || q.gallery.includes(name)}
              disabled={name === q.view}
              onChange={(on) => set({ gallery: on ? [...q.gallery, name] : q.gallery.filter((one) => one !== name) })}
            />
          ))}
        </div>
        {others.length > 0 && (
          <Choice
            label="Another lamp"
            value=""
            options={[['', 'choose one'], ...others.map(lampOption)]}
            onChange={(name) => name && set({ gallery: [...q.gallery, name] })}
            help="tables of published lamps; a lamp of the house is kept in the drawer"
          />
        )}
      </fieldset>
    </div>
  );
}

function Stepper(props: { label: string; value: number; least: number; most: number; onChange: (n: number) => void }) {
  return (
    <div class="stepper" role="group" aria-label={props.label}>
      <span>{props.label}</span>
      <button
        type="button"
        class="act"
        aria-label={`${props.label}: one fewer`}
        disabled={props.value <= props.least}
        onClick={() => props.onChange(props.value - 1)}
      >
        −
      </button>
      <output aria-live="polite">{props.value}</output>
      <button
        type="button"
        class="act"
        aria-label={`${props.label}: one more`}
        disabled={props.value >= props.most}
        onClick={() => props.onChange(props.value + 1)}
      >
        +
      </button>
    </div>
  );
}

/// What the folded conditions say at present.
function inWords(q: Question): string {
  const lies = q.side === 'front' ? 'on the front' : 'behind the sheet';
  const use = { loss: `As a loss, its overlap ${lies}`, tear: `As a tear, the tissue ${lies}`, lining: 'As a lining' }[q.use];
  const aim = numberIn(q.aimL) || numberIn(q.aimC) ? `aim ${signed(numberIn(q.aimL) ?? 0)} L*, ${signed(numberIn(q.aimC) ?? 0)} C*` : 'no aim offset';
  return `${use}; near enough: ΔE00 ${q.tolerance || '1.8'}; ${aim}; worst of ${new Set([q.view, ...q.gallery]).size} lamps`;
}

function Conditions({ q, set, tolerance }: { q: Question; set: (change: Partial<Question>) => void; tolerance?: string }) {
  return (
    <section class="card conditions" aria-label="How it will lie">
      <div class="condition-row">
        <Pick
          legend="Seen under"
          value={q.view}
          options={lampNames(q).map(lampOption)}
          onChange={(view) => set({ view })}
        />
        <Stepper label="Fewest plies" value={q.fewest} least={1} most={q.most} onChange={(fewest) => set({ fewest })} />
        <Stepper label="Most plies" value={q.most} least={q.fewest} most={8} onChange={(most) => set({ most })} />
        <Choice
          label="Shown over"
          value={q.over}
          options={oversFor(q.use, q.over)}
          onChange={(over) => set({ over })}
        />
      </div>
      <Fold title={inWords(q)}>
        <div class="condition-row">
          <Pick
            legend="It fills"
            value={q.use}
            options={[
              ['loss', 'a loss'],
              ['tear', 'a tear'],
              ['lining', 'as a lining'],
            ]}
            onChange={(use) => set({ use })}
          />
          {q.use !== 'lining' && (
            <Pick
              legend={q.use === 'tear' ? 'The tissue lies' : 'Its overlap lies'}
              value={q.side}
              options={[
                ['back', 'behind the sheet'],
                ['front', 'on the front'],
              ]}
              onChange={(side) => set({ side })}
            />
          )}
        </div>
        <div class="fields">
          <Field
            label="Near enough, ΔE00"
            type="number"
            value={q.tolerance}
            onInput={(v) => set({ tolerance: v })}
            help={tolerance ?? 'blank: the default'}
          />
          <Field label="Lighter than the sheet by L*" type="number" value={q.aimL} onInput={(v) => set({ aimL: v })} />
          <Field label="Stronger (+) or duller (−) by C*" type="number" value={q.aimC} onInput={(v) => set({ aimC: v })} />
        </div>
        <p class="help">A fill is kept slightly lighter and duller than the sheet, never darker (common practice, no source).</p>
        <Lamps q={q} set={set} />
      </Fold>
    </section>
  );
}

export function Figures(props: {
  de00: number;
  dL: number;
  da: number;
  db: number;
  worst: number;
  worstLight: string;
  transmitted: Transmitted;
  light: string;
  rest?: [string, string][];
}) {
  const rows: [string, string][] = [
    [`ΔE00 from the sheet under ${lampWords(props.light)}`, fixed(props.de00)],
    ['Lighter (+) or darker (−)', `${signed(props.dL)} L*`],
    ['Pinker (+) or greener (−)', `${signed(props.da)} a*`],
    ['Yellower (+) or less yellow (−)', `${signed(props.db)} b*`],
    ['Worst lamp', `${fixed(props.worst)} under ${lampWords(props.worstLight)}`],
    [
      'On the light sheet',
      props.transmitted.known
        ? `${signed(props.transmitted.dL, 0)} L* against the sheet (ΔE00 ${fixed(props.transmitted.de00, 1)})`
        : `not known: ${props.transmitted.why ?? ''}`,
    ],
    ...(props.rest ?? []),
  ];
  return (
    <dl class="figures-list">
      {rows.map(([what, figure]) => (
        <div>
          <dt>{what}</dt>
          <dd>{figure}</dd>
        </div>
      ))}
    </dl>
  );
}

function Strip(props: { c: Candidate; place: number; shown: Shown; chosen: boolean; onChoose: () => void }) {
  const { c, shown } = props;
  const light = shown.question.view;
  const near = c.aim_de00 <= shown.ranking.tolerance_de00;
  const fill = knownColour(c.by_light[light].lab, light);
  return (
    <li>
      <button type="button" class="strip" aria-pressed={props.chosen} onClick={props.onChoose}>
        <Slip ground={knownColour(shown.ranking.sheet.by_light[light].lab, light)} fill={fill} />
        <span class="strip-name">
          <span class="quietly">{props.place}</span> {titleOf(c)}
          {c.weight_g_m2 !== null && <span class="quietly"> {fixed(c.weight_g_m2, 1)} g/m²</span>}
        </span>
        <span class="strip-big">
          <span class="quietly">ΔE00</span> {fixed(c.aim_de00)}
        </span>
        <span class="strip-figures">
          <span>
            <span aria-hidden="true">{near ? '●' : '○'}</span> {near ? 'near enough' : 'not near enough'}
          </span>
          <span>
            worst {fixed(c.worst_de00)} under {lampWords(c.worst_light)}
          </span>
          <span>{lightSheetWords(c.transmitted)}</span>
        </span>
        <span class="strip-reasons">
          {c.reasons.join('; ')}
          {fill?.outside && ' — this screen cannot show its colour'}
        </span>
      </button>
    </li>
  );
}

function TableOf({ shown }: { shown: Shown }) {
  return (
    <Table
      caption="The drawer in figures"
      hideCaption
      head={['Tissue', 'Plies', 'g/m²', 'ΔE00', 'dL*', 'da*', 'db*', 'Worst', 'Lamp', 'Overlap', 'Light sheet', 'Score', 'First']}
      rows={shown.ranking.candidates.map((c) => [
        titleOf(c).replace(/ × \d+$/, ''),
        c.plies,
        c.weight_g_m2 === null ? 'not known' : fixed(c.weight_g_m2, 1),
        fixed(c.aim_de00),
        signed(c.dL),
        signed(c.da),
        signed(c.db),
        fixed(c.worst_de00),
        lampWords(c.worst_light),
        c.overlap_de00 === null ? 'not known' : fixed(c.overlap_de00),
        c.transmitted.known ? `${signed(c.transmitted.dL, 0)} L*` : 'not known',
        fixed(c.score),
        c.nearest_probability === null ? '' : `${Math.round(100 * c.nearest_probability)} %`,
      ])}
    />
  );
}

function Taking(props: { sheet: string; loss: Thing; c: Candidate; q: Question }) {
  const [why, setWhy] = useState('');
  const take = async (verdict: 'chosen' | 'refused') => {
    const by = signer();
    if (!by) return;
    const loss = nameOf(props.loss);
    if (verdict === 'refused' && !why.trim()) throw new Error('Say in a few words why it is set aside');
    const { kept_id } = await api.compute('tissue', parametersOf(props.sheet, loss, props.q, null), {
      keep: `fills for ${loss} ${stamp()}`,
      sheet: props.sheet,
      loss,
      by,
    });
    const kept = await api.keep({
      kind: 'fill',
      columns: {
        loss: `#${props.loss.id}`,
        name: titleOf(props.c),
        tissue: props.c.tissue,
        ...(kept_id ? { computation: `#${kept_id}` } : {}),
        plies: String(props.c.plies),
        use: props.c.use,
        side: props.c.side,
        verdict,
        reasons: [why.trim(), ...props.c.reasons].filter(Boolean).join('; '),
      },
      by,
    });
    setWhy('');
    await loadSheet(props.sheet);
    sayDecided(kept, loss, titleOf(props.c));
  };
  return (
    <div class="taking">
      <Field label="Why, in your words" value={why} onInput={setWhy} />
      <div class="acts">
        <Act main onAct={() => take('chosen')}>
          Take this fill
        </Act>
        <Act onAct={() => take('refused')}>Set it aside</Act>
      </div>
    </div>
  );
}

function Decided({ sheet, loss }: { sheet: string; loss: string }) {
  const fills = sheetThings(sheet, 'fill').filter((fill) => fill.links.loss === loss || fill.links.loss === `${sheet}/${loss}`);
  if (!fills.length) return null;
  return (
    <Card title="Decided so far">
      <ul class="plain">
        {fills.map((fill) => (
          <li>
            <strong>{fill.standing}</strong>: {nameOf(fill)} <span class="quietly">{textOf(fill, 'reasons')}</span>
          </li>
        ))}
      </ul>
    </Card>
  );
}

function Large(props: { sheet: string; loss: Thing; shown: Shown; c: Candidate; children: ComponentChildren }) {
  const { c, shown } = props;
  const { polygons } = useOutline(props.loss);
  const [how, setHow] = useState('reflected');
  const [edge, setEdge] = useState(false);
  const light = shown.question.view;
  const through = how === 'through' && c.transmitted.lab && shown.ranking.sheet.transmitted.lab;
  const fillLab = through ? c.transmitted.lab! : c.by_light[light].lab;
  const groundLab = through ? shown.ranking.sheet.transmitted.lab! : shown.ranking.sheet.by_light[light].lab;
  const lamp = through ? c.transmitted.light : light;
  const [, again] = useState(0);
  useEffect(() => {
    fetchColours([fillLab, groundLab], lamp).then(() => again((n) => n + 1)).catch(complain);
  }, [JSON.stringify([fillLab, groundLab, lamp])]);
  const fill = knownColour(fillLab, lamp);
  const ground = knownColour(groundLab, lamp);
  const name = nameOf(props.loss);
  return (
    <div class="large">
      <div class="large-picture">
        <FilledLoss
          polygons={polygons}
          ground={ground}
          fill={fill}
          edge={edge}
          words={`${titleOf(c)} set into ${name} on the ground of the sheet, ${through ? 'on the light sheet' : `under ${light}`}: ${
            through ? lightSheetWords(c.transmitted) : `ΔE00 ${fixed(c.de00)}`
          }`}
        />
        {!through && c.de00 < 1 && !edge && (
          <p class="help">The fill lies there: at ΔE00 {fixed(c.de00)} its edge can hardly be seen. ‘Show the edge’ draws it.</p>
        )}
        {!polygons.length && <p class="help">No edge was drawn for {name}: a plain piece stands in for its shape.</p>}
        {(fill?.outside || ground?.outside) && (
          <p class="beyond">
            Hatched: {fill?.outside && ground?.outside ? 'both colours lie' : fill?.outside ? 'the fill’s colour lies' : 'the sheet’s colour lies'}{' '}
            beyond what this screen can show; the nearest it can show stands there.
          </p>
        )}
        <div class="acts">
          <Pick
            legend="Seen"
            value={how}
            options={[
              ['reflected', 'lying on its backing'],
              ['through', 'on the light sheet'],
            ]}
            onChange={setHow}
          />
          <Tick label="Show the edge" on={edge} onChange={setEdge} />
        </div>
        {how === 'through' && !through && (
          <p class="help">How it looks on the light sheet is not known: {c.transmitted.why ?? shown.ranking.sheet.transmitted.why}</p>
        )}
        {props.children}
      </div>
      <div class="large-words">
        <h3>{titleOf(c)}</h3>
        <p class="figures">
          {labWords(c.by_light[light].lab)} <span class="quietly">sheet {labWords(shown.ranking.sheet.by_light[light].lab)}</span>
        </p>
        <Figures
          de00={c.de00}
          dL={c.dL}
          da={c.da}
          db={c.db}
          worst={c.worst_de00}
          worstLight={c.worst_light}
          transmitted={c.transmitted}
          light={light}
          rest={[
            ...(shown.ranking.aim.dL || shown.ranking.aim.dC ? ([['ΔE00 from the aim', fixed(c.aim_de00)]] as [string, string][]) : []),
            ['Where it overlaps the sheet', c.overlap_de00 === null ? 'not known' : `ΔE00 ${fixed(c.overlap_de00)}`],
            ...(c.pasted
              ? ([['Pasted', `ΔE00 ${fixed(c.pasted.de00)}, ${signed(c.pasted.dL)} L* from dry`]] as [string, string][])
              : []),
          ]}
        />
        <ul class="reasons">
          {c.reasons.map((reason) => (
            <li>{reason}</li>
          ))}
        </ul>
        <Cautions items={[...(shown.ranking.cautions ?? []), ...c.cautions]} />
        <Taking sheet={props.sheet} loss={props.loss} c={c} q={shown.question} />
      </div>
    </div>
  );
}

export function Fill({ sheet, part }: { sheet: string; part: string }) {
  useBench();
  const loss = sheetThings(sheet, 'loss').find((one) => nameOf(one) === part);
  const [q, setQ] = useQuestion(sheet, loss);
  const [all, setAll] = useState(false);
  const [chosen, setChosen] = useState('');
  const [placed, setPlaced] = useState(false);
  const { shown, trouble, ready } = useRanking(sheet, part, q, all);
  const { polygons } = useOutline(loss);
  const top = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (!q.over && shownOver(sheet)) setQ((old) => ({ ...old, over: shownOver(sheet) }));
  });
  if (!loss)
    return (
      <>
        <LossSlips sheet={sheet} part={part} view="fill" />
        <Nothing>
          {sheetThings(sheet, 'loss').length ? 'Take a loss or a tear in hand.' : 'Enter a loss or a tear first.'}
        </Nothing>
        {!sheetThings(sheet, 'loss').length && (
          <a class="act main" href={hrefOf({ sheet, view: 'loss' })}>
            To the losses
          </a>
        )}
      </>
    );
  const set = (change: Partial<Question>) => {
    setQ((old) => ({ ...old, ...change }));
    if (change.over) keepShownOver(sheet, change.over).catch(complain);
  };
  const list = shown?.ranking.candidates ?? [];
  const c = list.find((one) => keyOf(one) === chosen) ?? list[0];
  const unknown = list.filter((one) => !one.transmitted.known);
  const photograph = Number(loss.columns.photograph ?? 0) || realPhotographs(sheet)[0]?.id || 0;
  const mask = Number(loss.columns.mask ?? 0);
  return (
    <>
      <LossSlips sheet={sheet} part={part} view="fill" />
      <Conditions q={q} set={set} tolerance={shown?.ranking.tolerance_origin} />
      {!ready && (
        <NextCard
          next={
            !sheetThings(sheet, 'reading').length
              ? { why: 'Its paper was not read yet.', words: `Read the paper beside ${part}`, href: hrefOf({ sheet, view: 'loss', part }) }
              : backingNames().length
                ? { why: 'What lies behind decides how a thin sheet looks.', words: 'Choose under ‘Shown over’ what lies behind', href: hrefOf({ sheet, view: 'fill', part }) }
                : { why: 'What lies behind decides how a thin sheet looks. None was read yet.', words: 'Read what lies behind, and the tissues', href: hrefOf({ view: 'drawer' }) }
          }
        />
      )}
      {trouble && (
        <div class="trouble" role="alert">
          <p>
            <strong>Not ranked.</strong> {trouble}
          </p>
          <a class="act" href={hrefOf({ sheet, view: 'loss', part })}>
            Read the paper beside {part} again
          </a>
        </div>
      )}
      {shown && c && (
        <>
          <div ref={top} />
          <Card class="flush" title={`${part}, filled`}>
            <p class={`verdict ${shown.ranking.within_tolerance ? '' : 'none'}`} role="status">
              {shown.ranking.verdict}
            </p>
            <Large key={keyOf(c)} sheet={sheet} loss={loss} shown={shown} c={c}>
              <div class="acts">
                {!shown.ranking.within_tolerance && (
                  <a class="act main" href={hrefOf({ sheet, view: 'wash', part })}>
                    Plan a wash
                  </a>
                )}
                <button type="button" class="act" aria-expanded={placed} onClick={() => setPlaced(!placed)}>
                  {placed ? 'Put the photograph away' : 'See it in its place'}
                </button>
              </div>
              <ScreenNote />
            </Large>
            {placed &&
              (photograph && (mask || polygons.length) ? (
                <InPlace
                  photograph={photograph}
                  mask={mask}
                  polygons={polygons}
                  lab={c.by_light[shown.question.view].lab}
                  sheetLab={shown.ranking.sheet.by_light[shown.question.view].lab}
                  light={shown.question.view}
                  name={titleOf(c)}
                />
              ) : (
                <Nothing>For this the sheet needs a photograph, and the loss its edge on it.</Nothing>
              ))}
          </Card>
          <Card title="The drawer">
            <p>
              {shown.ranking.ranked} fills were ranked, the best score first. Tap one to take it in hand.
            </p>
            {unknown.length > 0 && (
              <p class="note-line">
                ! How {unknown.length === list.length ? 'they look' : `${unknown.length} of ${list.length} look`} on the light sheet is not
                known: {[...new Set(unknown.map((one) => one.transmitted.why ?? 'no reason was given'))].join('; ')}.
              </p>
            )}
            <ol class="drawer">
              {list.map((one, i) => (
                <Strip
                  key={keyOf(one)}
                  c={one}
                  place={i + 1}
                  shown={shown}
                  chosen={one === c}
                  onChoose={() => {
                    setChosen(keyOf(one));
                    top.current?.scrollIntoView({ block: 'start' });
                  }}
                />
              ))}
            </ol>
            {list.length < shown.ranking.ranked && !all && (
              <button type="button" class="act" onClick={() => setAll(true)}>
                Show all {shown.ranking.ranked}
              </button>
            )}
            <Fold title="The same in figures">
              <TableOf shown={shown} />
            </Fold>
            {shown.ranking.left_out.length > 0 && (
              <Fold title={`Not ranked: ${shown.ranking.left_out.length}`}>
                <ul>
                  {shown.ranking.left_out.map((one) => (
                    <li>
                      {one.tissue}: {one.reason}
                    </li>
                  ))}
                </ul>
              </Fold>
            )}
            <Fold title="What this rests on">
              <ul>
                <li>Lights: {shown.ranking.lights.map((light) => `${light.name} (${light.origin})`).join(', ')}; observer {shown.ranking.observer} degrees</li>
                <li>Order: {shown.ranking.score}</li>
                <li>Tolerance: {shown.ranking.tolerance_origin}</li>
                <li>Surfaces: {shown.ranking.surfaces}</li>
                {shown.ranking.probability && <li>First: {shown.ranking.probability}</li>}
                {shown.ranking.over_is_nominal && <li>‘{shown.ranking.over}’ was not read: a nominal backing stands in</li>}
              </ul>
            </Fold>
            <Cautions title="What colour alone does not say" items={shown.ranking.notes} mark="i" />
            <Warnings items={shown.ranking.warnings} />
          </Card>
        </>
      )}
      {shown && !c && <Nothing>Nothing is left to rank under these conditions.</Nothing>}
      <Decided sheet={sheet} loss={part} />
    </>
  );
}
