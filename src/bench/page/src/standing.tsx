import { useId } from 'preact/hooks';
import { hrefOf, labThings, nameOf, sheetThings, textOf } from './state';
import type { Thing } from './types';

// Where each loss stands, and the one step that comes next.

export type Standing = 'to be read' | 'read' | 'matched' | 'wash planned' | 'tried' | 'filled' | 'left alone';

export interface NextStep {
  words: string;
  why: string;
  href: string;
}

const belongs = (thing: Thing, sheet: string, loss: string) =>
  thing.links.loss === loss || thing.links.loss === `${sheet}/${loss}`;

export const readingsOf = (sheet: string, loss: string): Thing[] =>
  sheetThings(sheet, 'reading').filter((r) => belongs(r, sheet, loss));
export const recipesOf = (sheet: string, loss: string): Thing[] =>
  sheetThings(sheet, 'recipe').filter((r) => belongs(r, sheet, loss));
export const trialsOf = (sheet: string, loss: string): Thing[] => {
  const recipes = recipesOf(sheet, loss).map((r) => r.id);
  return sheetThings(sheet, 'trial').filter((t) => recipes.includes(Number(t.columns.recipe)));
};
export const isRead = (sheet: string, trial: Thing) =>
  sheetThings(sheet, 'reading').some((r) => r.links.trial === nameOf(trial));

/// Readings of the sheet of which nobody has said what was read.
export const unplaced = (sheet: string): Thing[] =>
  sheetThings(sheet, 'reading').filter(
    (r) =>
      !['spot', 'loss', 'trial', 'tissue'].some((link) => r.links[link]) &&
      ['', 'target'].includes(textOf(r, 'role')),
  );

export function standingOf(sheet: string, loss: Thing): Standing {
  const name = nameOf(loss);
  const ended = textOf(loss, 'ended');
  if (ended === 'filled' || ended === 'left alone') return ended;
  const chosen = sheetThings(sheet, 'fill').some((fill) => belongs(fill, sheet, name) && textOf(fill, 'verdict') === 'chosen');
  if (chosen) return 'matched';
  if (trialsOf(sheet, name).some((trial) => isRead(sheet, trial))) return 'tried';
  const planned = sheetThings(sheet, 'computation').some((c) => textOf(c, 'verb') === 'wash' && belongs(c, sheet, name));
  if (planned || recipesOf(sheet, name).length) return 'wash planned';
  return readingsOf(sheet, name).length ? 'read' : 'to be read';
}

export function nextOfLoss(sheet: string, loss: Thing): NextStep | null {
  const part = nameOf(loss);
  const to = (view: string) => hrefOf({ sheet, view, part });
  switch (standingOf(sheet, loss)) {
    case 'to be read':
      return { words: `Read the paper beside ${part}`, why: 'The fill is matched to the paper around it.', href: to('loss') };
    case 'read':
      return { words: `Find a tissue for ${part}`, why: 'The drawer is compared with its paper.', href: to('fill') };
    case 'matched':
      return { words: `Say how ${part} ended`, why: 'A fill was chosen. Enter it when it lies in place.', href: to('loss') };
    case 'wash planned': {
      const trials = trialsOf(sheet, part);
      if (!recipesOf(sheet, part).length)
        return { words: `Choose a recipe for ${part}`, why: 'A wash was planned.', href: to('wash') };
      if (!trials.length) return { words: `Make a trial swatch for ${part}`, why: 'A recipe was chosen.', href: to('trial') };
      return { words: `Read the trial swatch of ${part}`, why: 'It was made. Let it dry wholly first.', href: to('trial') };
    }
    case 'tried':
      return { words: `See what the trial for ${part} says`, why: 'The trial swatch was read.', href: to('trial') };
    default:
      return null;
  }
}

/// The one step that comes next for the whole sheet.
export function nextOfSheet(sheet: string): NextStep {
  const losses = sheetThings(sheet, 'loss');
  const loose = unplaced(sheet).length;
  if (!losses.length)
    return { words: 'Enter the first loss or tear', why: 'Each one is read, matched and followed by its name.', href: hrefOf({ sheet, view: 'loss' }) };
  if (loose)
    return {
      words: loose === 1 ? 'Say what one reading is' : `Say what ${loose} readings are`,
      why: 'They were kept without a place.',
      href: hrefOf({ sheet, view: 'spot' }),
    };
  const open = losses.filter((loss) => nextOfLoss(sheet, loss));
  // What is begun is finished first; a drawer is needed before anything is matched.
  const first = open.find((loss) => standingOf(sheet, loss) === 'to be read') ?? open[0];
  if (first) {
    const next = nextOfLoss(sheet, first)!;
    if (standingOf(sheet, first) === 'read' && !labThings('tissue').length)
      return { words: 'Read the tissues in the drawer', why: 'No tissue was read yet.', href: hrefOf({ view: 'drawer' }) };
    return next;
  }
  const stages = new Set(sheetThings(sheet, 'reading').filter((r) => r.links.spot).map((r) => textOf(r, 'stage')));
  const compared = sheetThings(sheet, 'computation').some((c) => textOf(c, 'verb') === 'difference');
  if (stages.size > 1 && !compared)
    return { words: 'Compare before and after', why: 'Its spots were read at two stages.', href: hrefOf({ sheet, view: 'change' }) };
  return { words: 'Make the report', why: 'Every loss has ended.', href: hrefOf({ sheet, view: 'record' }) };
}

/// A mark for each state that differs in shape: a hole in paper that is filled step by step.
export function StandingMark({ of }: { of: Standing }) {
  const id = useId();
  const edge = 'M5 8 L12 4 L20 6 L27 5 L28 15 L26 26 L17 28 L7 26 L4 17 Z';
  const inner: Record<Standing, preact.JSX.Element | null> = {
    'to be read': null,
    read: <circle cx="16" cy="16" r="3.5" />,
    matched: <path d="M0 17 H32 V32 H0 Z" clip-path={`url(#${id})`} />,
    'wash planned': <path d="M6 13 q3 -4 6 0 t6 0 t6 0 M6 20 q3 -4 6 0 t6 0 t6 0" fill="none" stroke="currentColor" stroke-width="2" />,
    tried: <rect x="10" y="10" width="12" height="12" fill="none" stroke="currentColor" stroke-width="2.5" />,
    filled: <path d={edge} />,
    'left alone': <path d="M7 25 L25 7" fill="none" stroke="currentColor" stroke-width="3" />,
  };
  return (
    <svg class="standing-mark" viewBox="0 0 32 32" aria-hidden="true">
      <clipPath id={id}>
        <path d={edge} />
      </clipPath>
      <path d={edge} fill="none" stroke="currentColor" stroke-width="2" stroke-dasharray={of === 'to be read' ? '4 3' : undefined} />
      {inner[of]}
    </svg>
  );
}

export function StandingWords({ of }: { of: Standing }) {
  return (
    <span class="standing">
      <StandingMark of={of} />
      {of}
    </span>
  );
}

/// The one button that leads on.
export function NextCard({ next, title }: { next: NextStep; title?: string }) {
  return (
    <section class="next-card" aria-label={title ?? 'The next step'}>
      <p>{next.why}</p>
      <a class="act main" href={next.href}>
        {next.words}
      </a>
    </section>
  );
}
