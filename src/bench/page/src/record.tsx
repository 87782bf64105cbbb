import { useEffect, useState } from 'preact/hooks';
import { api } from './api';
import { columnWords, KindForm, typedText } from './form';
import { complain, kindOf, nameOf, reload, runJob, say, sheetThings, textOf, useBench, useDraft, useRoute } from './state';
import type { RecheckAnswer, SheetAnswer, Thing } from './types';
import { Act, Card, Cautions, Field, Fold, Nothing, signer, whenWords } from './ui';

const heavy = ['factor', 'wavelengths_nm', 'power', 'power_nm', 'result', 'parameters', 'inputs', 'tables', 'lights', 'sha256', 'path', 'of', 'program'];
const byHand = (kind: string) => !['reading', 'mean', 'file', 'computation'].includes(kind);

/// Every row of one thing, the oldest first.
function History({ rows }: { rows: Thing[] }) {
  return (
    <ol class="history">
      {rows.map((row) => (
        <li>
          <p>
            <strong>{whenWords(row.entry.when)}</strong>, {row.entry.who}
            {row.withdrawn && <strong> withdrawn</strong>}
            {row.entry.why && `: ${row.entry.why}`}
          </p>
          <dl class="columns">
            {Object.keys(row.columns)
              .filter((column) => !heavy.includes(column))
              .map((column) => (
                <div>
                  <dt>{columnWords(column)}</dt>
                  <dd>{shortText(row, column)}</dd>
                </div>
              ))}
          </dl>
        </li>
      ))}
    </ol>
  );
}

function shortText(thing: Thing, column: string): string {
  const text = typedText(thing, { name: column, form: '', needed: false });
  return text.length > 160 ? `${text.slice(0, 150)} …` : text;
}

/// What can be done with any thing of the record: look back, correct, withdraw.
export function ThingActs({ thing }: { thing: Thing }) {
  const route = useRoute();
  const [open, setOpen] = useState<'' | 'history' | 'correct' | 'withdraw'>('');
  const [rows, setRows] = useState<Thing[]>([]);
  const [why, setWhy] = useState('');
  const name = nameOf(thing);
  // A correction adds a row: an open history is read again.
  useEffect(() => {
    if (open === 'history')
      api.history(thing.kind, `#${thing.id}`).then((past) => setRows(past.things)).catch(complain);
  }, [open, thing]);
  const show = (what: typeof open) => setOpen(what === open ? '' : what);
  const withdraw = async () => {
    const by = signer();
    if (!by) return;
    if (!why.trim()) throw new Error('Say why it is withdrawn');
    await api.withdraw({ kind: thing.kind, thing: `#${thing.id}`, why: why.trim(), by });
    await reload(route.sheet);
    say(`Withdrawn: ${name}. It stays readable in the record`);
  };
  return (
    <details class="thing-acts">
      <summary aria-label={`More on ${name}`}>More</summary>
      <div class="acts">
        <Act quiet label={`History of ${name}`} onAct={() => show('history')}>
          History
        </Act>
        {byHand(thing.kind) && kindOf(thing.kind) && (
          <Act quiet label={`Correct ${name}`} onAct={() => show('correct')}>
            Correct
          </Act>
        )}
        <Act quiet label={`Withdraw ${name}`} onAct={() => show('withdraw')}>
          Withdraw
        </Act>
      </div>
      {open === 'history' && <History rows={rows} />}
      {open === 'correct' && (
        <KindForm
          kind={thing.kind}
          first={Object.keys(thing.columns).filter((column) => !heavy.includes(column))}
          hidden={heavy}
          button="Keep the correction"
          draft={`correct.${thing.kind}.${thing.id}`}
          thing={thing}
          sheet={route.sheet || undefined}
          onKept={() => setOpen('')}
        />
      )}
      {open === 'withdraw' && (
        <div class="form">
          <Field label={`Why ${name} is withdrawn`} value={why} onInput={setWhy} needed help="It stays readable; it is only no longer used" />
          <Act main onAct={withdraw}>
            Withdraw it
          </Act>
        </div>
      )}
    </details>
  );
}

const order: [string, string][] = [
  ['photograph', 'Photographs'],
  ['spot', 'Spots'],
  ['loss', 'Losses and tears'],
  ['fill', 'Fills'],
  ['recipe', 'Recipes'],
  ['trial', 'Trials'],
  ['bath', 'Baths'],
  ['computation', 'Computed results'],
  ['note', 'Notes'],
  ['reading', 'Readings'],
];

function headline(thing: Thing): string {
  if (thing.kind === 'note') return textOf(thing, 'text');
  const more = ['stage', 'nature', 'verdict', 'verb', 'role', 'backing', 'place', 'water', 'minutes']
    .map((column) => textOf(thing, column))
    .filter(Boolean);
  return [nameOf(thing), ...more].join(', ');
}

function Group({ title, things, open }: { title: string; things: Thing[]; open: boolean }) {
  const [all, setAll] = useState(false);
  const shown = all ? things : things.slice(0, 20);
  return (
    <Fold title={`${title}: ${things.length}`} open={open}>
      <ul class="plain things">
        {shown.map((thing) => (
          <li key={`${thing.kind}${thing.id}`}>
            <p>
              <strong>{headline(thing)}</strong>{' '}
              <span class="quietly">
                {thing.entry.who}, {whenWords(thing.entry.when)}
                {thing.entry.why && `: ${thing.entry.why}`}
              </span>
            </p>
            <ThingActs thing={thing} />
          </li>
        ))}
      </ul>
      {shown.length < things.length && (
        <button type="button" class="act quiet" onClick={() => setAll(true)}>
          All {things.length}
        </button>
      )}
    </Fold>
  );
}

export function Find() {
  const [words, setWords] = useState('');
  const [found, setFound] = useState<SheetAnswer | null>(null);
  const find = async () => {
    if (!words.trim()) throw new Error('Type the words to look for');
    setFound(await api.find(words.trim()));
  };
  return (
    <Card title="Find">
      <form
        class="find"
        onSubmit={(e) => {
          e.preventDefault();
          find().catch(complain);
        }}
      >
        <Field label="Words that stand in it" value={words} onInput={setWords} />
        <Act main onAct={find}>
          Find
        </Act>
      </form>
      <div role="status">
        {found && (found.things.length ? <p>{found.things.length} found</p> : <Nothing>Nothing found.</Nothing>)}
      </div>
      {found && (
        <ul class="plain things">
          {found.things.slice(0, 40).map((thing) => (
            <li key={`${thing.kind}${thing.id}`}>
              <p>
                <span class="quietly">{thing.kind}</span> <strong>{headline(thing)}</strong>{' '}
                <span class="quietly">
                  {thing.entry.who}, {whenWords(thing.entry.when)}
                </span>
              </p>
            </li>
          ))}
        </ul>
      )}
    </Card>
  );
}

function Report({ sheet }: { sheet: string }) {
  const [said, setSaid] = useDraft(`report.${sheet}`, { title: sheet, notice: '' });
  const [made, setMade] = useState<string[]>([]);
  const make = async () => {
    await runJob(
      'report',
      {
        sheet,
        ...(said.title.trim() ? { title: said.title.trim() } : {}),
        ...(said.notice.trim() ? { notice: said.notice.trim() } : {}),
      },
      { sheet, by: signer() ?? '' },
    );
    setMade(['report.html', 'report.pdf', 'report.csv', 'report.json']);
    say('The report is made');
  };
  const set = (change: Partial<typeof said>) => setSaid((old) => ({ ...old, ...change }));
  return (
    <Card title="The report">
      <p>Everything of this sheet on paper: readings, fills, recipes, what changed, and what it rests on.</p>
      <div class="fields">
        <Field label="Title" value={said.title} onInput={(title) => set({ title })} wide />
        <Field label="Notice" value={said.notice} onInput={(notice) => set({ notice })} help="stands at its head" wide />
      </div>
      <Act main onAct={make}>
        Make the report
      </Act>
      {made.length > 0 && (
        <ul class="files">
          {made.map((file) => (
            <li>
              <a class="slip" href={api.report(sheet, file)} target="_blank" rel="noreferrer">
                <span class="slip-name">{file}</span>
                <span class="quietly">
                  {{ html: 'to read here', pdf: 'to print and file', csv: 'its figures for a spreadsheet', json: 'its figures for a program' }[
                    file.split('.')[1]
                  ]}
                </span>
              </a>
            </li>
          ))}
        </ul>
      )}
    </Card>
  );
}

/// Every stored figure computed again from what it was computed from.
function Recheck() {
  const [checked, setChecked] = useState<RecheckAnswer | null>(null);
  const check = async () => setChecked((await runJob<RecheckAnswer>('recheck', {})).result);
  return (
    <Card title="Does it still hold?">
      <p>Every result in the record is computed again from the readings that it was computed from, and compared.</p>
      <Act onAct={check}>Check the record</Act>
      {checked && (
        <div role="status">
          <p class={`verdict ${checked.agrees ? '' : 'none'}`}>
            {checked.agrees ? 'All of it agrees' : 'Not all of it agrees'}: {checked.results} results with {checked.figures}{' '}
            figures, {checked.readings} readings, {checked.photographs} photographs.
          </p>
          <Cautions
            title="What no longer agrees"
            items={checked.disagreements.map((one) => `${one.what} ${one.where}: kept ${one.kept}, now ${one.now}`)}
          />
          <Cautions
            title="The method changed since"
            mark="i"
            items={checked.method_changed.map((one) => `${one.what}: ${one.changed}; ${one.where}: kept ${one.kept}, now ${one.now}`)}
          />
          <Cautions title="Note" mark="i" items={checked.notes} />
        </div>
      )}
    </Card>
  );
}

export function RecordView({ sheet }: { sheet: string }) {
  useBench();
  return (
    <>
      <Report sheet={sheet} />
      <Card title={`What the record holds of ${sheet}`}>
        {order.map(([kind, title]) => {
          const things = sheetThings(sheet, kind);
          return things.length ? <Group key={kind} title={title} things={things} open={false} /> : null;
        })}
      </Card>
      <div class="two">
        <Card title="A note">
          <KindForm kind="note" fixed={{ sheet }} first={['text']} button="Keep the note" draft={`new.note.${sheet}`} sheet={sheet} />
        </Card>
        <Card title="A bath given to the sheet">
          <KindForm
            kind="bath"
            fixed={{ sheet }}
            first={['name', 'number', 'water', 'minutes', 'ph', 'conductivity_us_cm']}
            button="Keep the bath"
            draft={`new.bath.${sheet}`}
            sheet={sheet}
          />
        </Card>
      </div>
      <div class="two">
        <Find />
        <Recheck />
      </div>
    </>
  );
}
