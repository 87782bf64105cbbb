import { KindForm } from './form';
import { NextCard, nextOfSheet } from './standing';
import { csvOf } from './csv';
import { go, hrefOf, labThings, loadSheet, nameOf, state, textOf, useBench, useLoaded } from './state';
import { Card, Fold, whenWords } from './ui';

const bands = Array.from({ length: 31 }, (_, i) => String(400 + 10 * i));
const blank = (n: number) => Array<string>(n).fill('');

/// Tables to fill in elsewhere; the page reads them back as they are.
const tables: [string, string, string[][]][] = [
  ['readings.csv', 'the paper of a sheet', [['name', 'repeat', 'role', 'backing', 'state', ...bands], ['', '', 'target', '', 'dry', ...blank(31)]]],
  [
    'drawer.csv',
    'tissues, and what lies behind them',
    [
      ['name', 'repeat', 'role', 'backing', 'plies', 'state', 'lot', 'grammage_g_m2', ...bands],
      ['black tile', '1', 'backing', '', '', 'dry', '', '', ...blank(31)],
      ['white tile', '1', 'backing', '', '', 'dry', '', '', ...blank(31)],
      ['', '1', 'tissue', 'black tile', '1', 'dry', '', '', ...blank(31)],
      ['', '1', 'tissue', 'white tile', '1', 'dry', '', '', ...blank(31)],
    ],
  ],
  [
    'ladder.csv',
    'one colorant in rising amounts',
    [
      ['name', 'repeat', 'role', 'backing', 'state', 'load_unit', 'load:ochre', ...bands],
      ['', '1', 'substrate', 'black tile', 'dry', '', '', ...blank(31)],
      ['', '1', 'swatch', 'black tile', 'dry', 'g_m2', '', ...blank(31)],
    ],
  ],
];

function EmptyTables() {
  return (
    <Fold title="Empty tables to fill in">
      <p>Fill them in with any spreadsheet, then bring them back. A column that you do not need may stay empty.</p>
      <ul class="files">
        {tables.map(([file, words, rows]) => (
          <li>
            <a class="slip" download={file} href={`data:text/csv;charset=utf-8,${encodeURIComponent(csvOf(rows))}`}>
              <span class="slip-name">{file}</span>
              <span class="quietly">{words}</span>
            </a>
          </li>
        ))}
      </ul>
    </Fold>
  );
}

/// What is still to be done before a first fill can be matched; gone when it is done.
function Checklist() {
  const { record } = useBench();
  const count = (kind: string) => record?.counts.find((one) => one.kind === kind)?.count ?? 0;
  const steps: [boolean, string, string][] = [
    [labThings('sheet').length > 0, 'Start a sheet', '#/'],
    [(record?.backings ?? []).length > 0, 'Read what lies behind: a black tile, a white tile, the mount board', hrefOf({ view: 'drawer' })],
    [count('tissue') > 0, 'Read the tissues in the drawer over black and over white', hrefOf({ view: 'drawer' })],
    [count('loss') > 0, 'Enter a loss or tear, and read the paper beside it', labThings('sheet')[0] ? hrefOf({ sheet: nameOf(labThings('sheet')[0]), view: 'loss' }) : '#/'],
  ];
  if (steps.every(([done]) => done)) return null;
  return (
    <Card title="Before the first match">
      <ol class="checklist">
        {steps.map(([done, words, href]) => (
          <li class={done ? 'done' : ''}>
            <span aria-hidden="true">{done ? '✓' : '○'}</span> {done ? <span>{words}: done</span> : <a href={href}>{words}</a>}
          </li>
        ))}
      </ol>
      <EmptyTables />
    </Card>
  );
}

/// The sheet that was worked on last, with its next step.
function GoOn({ sheet }: { sheet: string }) {
  useLoaded(`start ${sheet}`, async () => (state.sheets[sheet] ? null : loadSheet(sheet)));
  if (!state.sheets[sheet]) return null;
  return <NextCard next={nextOfSheet(sheet)} title={`The next step for ${sheet}`} />;
}

/// The sheets of the record, as slips in a box.
export function Start() {
  const { record, inHand } = useBench();
  const sheets = labThings('sheet');
  const count = (kind: string) => record?.counts.find((one) => one.kind === kind)?.count ?? 0;
  const fresh = (
    <Card title={sheets.length ? 'A new sheet' : 'Start with a sheet'}>
      <KindForm
        kind="sheet"
        first={['name', 'object_id', 'description', 'grammage_g_m2']}
        button="Start this sheet"
        draft="new.sheet"
        onKept={(name) => go({ sheet: name, view: 'sheet' })}
      />
    </Card>
  );
  const last = sheets.find((sheet) => nameOf(sheet) === inHand.sheet) ?? sheets[sheets.length - 1];
  if (!sheets.length)
    return (
      <>
        <p class="lead">
          Here you find the tissue that comes nearest to the paper around a loss or tear. Where none is near enough, you tone one by a
          wash that is worked out in drops. Everything is kept in one record, from which the report is made.
        </p>
        {fresh}
        <Checklist />
      </>
    );
  return (
    <>
      <GoOn key={nameOf(last)} sheet={nameOf(last)} />
      <Card title="Sheets in the record">
        <ul class="slips">
          {sheets.map((sheet) => (
            <li>
              <a class="slip" href={hrefOf({ sheet: nameOf(sheet), view: 'sheet' })}>
                <span class="slip-name">{nameOf(sheet)}</span>
                {textOf(sheet, 'object_id') && <span>{textOf(sheet, 'object_id')}</span>}
                {textOf(sheet, 'description') && <span class="slip-words">{textOf(sheet, 'description')}</span>}
                <span class="quietly">
                  {sheet.entry.who}, {whenWords(sheet.entry.when)}
                </span>
              </a>
            </li>
          ))}
        </ul>
        <p class="quietly">
          In the record {record?.record.replace(/^.*[/\\]/, '')}: {count('reading')} readings, {count('tissue')} tissues,{' '}
          {count('photograph')} photographs, {count('computation')} computed results.
        </p>
      </Card>
      <Checklist />
      {fresh}
    </>
  );
}
