import { useEffect, useRef } from 'preact/hooks';
import { Change } from './change';
import { Drawer } from './drawer';
import { Fill } from './fill';
import { JobsTray } from './jobs';
import { Ladder } from './ladder';
import { Losses } from './losses';
import { RecordView } from './record';
import { Start } from './start';
import { SheetView } from './sheet';
import { Spots } from './spots';
import {
  changed,
  complain,
  hrefOf,
  loadSheet,
  nameOf,
  places,
  setBy,
  sheetThings,
  useBench,
  useRoute,
  type Route,
} from './state';
import { Trial } from './trial';
import { Field, Told } from './ui';
import { Wash } from './wash';

const day: [string, string][] = [
  ['sheet', 'Sheet'],
  ['spot', 'Spots'],
  ['loss', 'Losses'],
  ['fill', 'Fill'],
  ['wash', 'Wash'],
  ['trial', 'Trial'],
  ['change', 'Before and after'],
  ['record', 'Record'],
];
const rooms: [string, string][] = [
  ['', 'All sheets'],
  ['drawer', 'Drawer'],
  ['ladder', 'Colorants'],
];
const withLoss = ['loss', 'fill', 'wash', 'trial'];

function Rail({ route, inHand }: { route: Route; inHand: { sheet: string; loss: string } }) {
  // Sheet and loss stay in hand from step to step, and on the way to the drawer and back.
  const sheet = route.sheet || inHand.sheet;
  const part = inHand.loss;
  return (
    <nav class="rail" aria-label="The day’s work">
      {sheet && (
        <ol aria-label={sheet}>
          {day.map(([view, words]) => {
            const here = !!route.sheet && route.view === view;
            return (
              <li>
                <a
                  href={hrefOf({ sheet, view, part: withLoss.includes(view) ? part : '' })}
                  aria-current={here ? 'page' : undefined}
                >
                  {words}
                </a>
              </li>
            );
          })}
        </ol>
      )}
      <ul class="rooms">
        {rooms.map(([view, words]) => (
          <li>
            <a href={hrefOf({ view })} aria-current={!route.sheet && (route.view === view || (!view && route.view === 'start')) ? 'page' : undefined}>
              {words}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  );
}

function View({ route }: { route: Route }) {
  if (!route.sheet) {
    if (route.view === 'drawer') return <Drawer />;
    if (route.view === 'ladder') return <Ladder part={route.part} />;
    return <Start />;
  }
  const { sheet, part } = route;
  switch (route.view) {
    case 'spot':
      return <Spots sheet={sheet} part={part} />;
    case 'change':
      return <Change sheet={sheet} />;
    case 'loss':
      return <Losses sheet={sheet} part={part} />;
    case 'fill':
      return <Fill sheet={sheet} part={part} />;
    case 'wash':
      return <Wash sheet={sheet} part={part} />;
    case 'trial':
      return <Trial sheet={sheet} part={part} />;
    case 'record':
      return <RecordView sheet={sheet} />;
    default:
      return <SheetView sheet={sheet} />;
  }
}

function titleOf(route: Route): string {
  if (!route.sheet) return rooms.find(([view]) => view === route.view)?.[1] ?? 'All sheets';
  const one: Record<string, string> = { spot: 'Spot', loss: 'Loss' };
  const step = (route.part && one[route.view]) || (day.find(([view]) => view === route.view)?.[1] ?? 'Sheet');
  return route.part ? `${step}: ${route.part}` : step;
}

export function App() {
  const bench = useBench();
  const route = useRoute();
  const heading = useRef<HTMLHeadingElement>(null);
  const first = useRef(true);

  useEffect(() => {
    if (route.sheet && !bench.sheets[route.sheet]) loadSheet(route.sheet).catch(complain);
  }, [route.sheet]);
  useEffect(() => {
    const loss = withLoss.includes(route.view) ? route.part : route.sheet === bench.inHand.sheet ? bench.inHand.loss : '';
    changed({ trouble: '', said: '', at: '', inHand: route.sheet ? { sheet: route.sheet, loss } : bench.inHand });
    document.title = `${titleOf(route)}${route.sheet ? `, ${route.sheet}` : ''} · mendtone bench`;
    if (first.current) first.current = false;
    else {
      window.scrollTo(0, 0);
      heading.current?.focus({ preventScroll: true });
    }
  }, [route.sheet, route.view, route.part]);

  const ready = bench.record && (!route.sheet || bench.sheets[route.sheet]);
  const sheet = route.sheet ? sheetThings(route.sheet, 'sheet')[0] : undefined;
  return (
    <>
      <a class="skip" href="#work" onClick={(e) => (e.preventDefault(), heading.current?.focus())}>
        To the work
      </a>
      <header class="head">
        <p class="where">
          <span class="program">mendtone bench</span>
          {(route.sheet || bench.inHand.sheet) && (
            <span class="sheet-name">{sheet ? nameOf(sheet) : route.sheet || bench.inHand.sheet}</span>
          )}
        </p>
        <div class="who">
          <Field id="by" label="Entering" value={bench.by} onInput={setBy} />
        </div>
        <JobsTray />
      </header>
      <Rail route={route} inHand={bench.inHand} />
      <main id="work">
        <h1 tabIndex={-1} ref={heading}>
          {titleOf(route)}
        </h1>
        {/* What is said stands where she pressed; here if that is gone, and always for a screen reader. */}
        <p class="unseen" role="status" aria-live="polite">
          {bench.said}
        </p>
        {!places.has(bench.at) && (bench.said || bench.trouble) && <Told />}
        {ready ? <View route={route} /> : <p class="first">Opening the record …</p>}
      </main>
    </>
  );
}
