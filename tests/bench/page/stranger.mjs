// A stranger's first job, with nobody beside her: a sheet that is not Kestrel Bay's, an instrument whose
// names fit nothing, readings over the wrong backing first, a repeat that slipped, a reload in the
// middle. Only what the page offers is used; taps and entries are counted. All data are invented.
import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { accessible, largeEnough, pictured } from './checks.mjs';
import { declaration, plainPng } from './pictures.mjs';

export const sheet = 'Saltings ferry notice, 1911';

const bands = Array.from({ length: 31 }, (_, i) => 400 + 10 * i);

/// The same small unevenness every time: what repeats differ by.
function unevenness(seed) {
  let state = seed;
  return () => {
    state = (state * 1103515245 + 12345) & 0x7fffffff;
    return (state / 0x7fffffff - 0.5) * 2;
  };
}

/// A sheet of scattering S and absorption K a ply, seen over something that reflects `behind`.
function over(k, s, behind) {
  return bands.map((nm, i) => {
    const K = k(nm);
    const S = s(nm);
    const a = 1 + K / S;
    const b = Math.sqrt(a * a - 1);
    const [sh, ch] = [Math.sinh(b * S), Math.cosh(b * S)];
    const r = sh / (a * sh + b * ch);
    const t = b / (a * sh + b * ch);
    return r + (t * t * behind[i]) / (1 - r * behind[i]);
  });
}
const flat = (value) => bands.map(() => value);
const board = bands.map((nm) => 0.78 - 0.00012 * (700 - nm));
const behind = { black: flat(0.045), white: flat(0.88), board, foam: flat(0.31) };
/// Aged paper: more absorption towards the blue.
const aged = (strength) => (nm) => 0.02 + strength * Math.exp((400 - nm) / 75);
const paper = { k: aged(0.42), s: () => 3.4 };
const tissues = {
  'fine kozo': { k: aged(0.03), s: () => 0.5 },
  'toned kozo': { k: aged(0.24), s: () => 1.7 },
  'old stock': { k: aged(0.5), s: () => 2.1 },
};

/// One row as her instrument exports it: a running number, nothing else.
let shot = 7040;
function row(values, random, off = 0) {
  const lift = 1 + 0.003 * random();
  return [`P${++shot}`, ...values.map((v) => (v * lift * (1 - off)).toFixed(5).replace('.', ','))].join(';');
}
const table = (rows) => `# Invented data: no such notice exists\nname;${bands.join(';')}\n${rows.join('\n')}\n`;

export async function inventedFiles(folder) {
  const random = unevenness(1911);
  const many = (values, n, slipped = -1) => Array.from({ length: n }, (_, i) => row(values, random, i === slipped ? 0.12 : 0));
  const at = (name) => join(folder, name);
  await writeFile(at('export_0231.csv'), table(many(over(paper.k, paper.s, behind.foam), 3)));
  await writeFile(at('export_0232.csv'), table(many(over(paper.k, paper.s, behind.board), 5, 3)));
  const torn = (nm) => 1.15 * paper.k(nm);
  await writeFile(at('export_0233.csv'), table([...many(over(torn, paper.s, behind.board), 3), ...many(over(torn, paper.s, behind.black), 3)]));
  const drawer = [...many(behind.black, 2), ...many(behind.white, 2), ...many(behind.board, 2)];
  for (const one of Object.values(tissues)) drawer.push(...many(over(one.k, one.s, behind.black), 2), ...many(over(one.k, one.s, behind.white), 2));
  await writeFile(at('export_0230.csv'), table(drawer));
  return { wrong: at('export_0231.csv'), right: at('export_0232.csv'), tear: at('export_0233.csv'), drawer: at('export_0230.csv') };
}

/// A photograph without any profile: a sheet with one corner gone and a tear at its edge.
const photographed = (said = []) =>
  plainPng(480, 320, (x, y) => (x + y < 90 || (y > 150 && y < 154 && x > 380) ? [120, 120, 120] : [222 - ((x * 7 + y * 3) % 5), 211, 184]), said);

/// Hands that count: a tap is a press, a choice or a file brought; an entry is a field that is filled.
function counting(page) {
  const count = { taps: 0, entries: 0 };
  return {
    count,
    tap: async (scope, words) => {
      ++count.taps;
      await scope.getByRole('button', { name: words }).or(scope.getByRole('link', { name: words })).first().click();
    },
    next: async () => {
      ++count.taps;
      const words = await page.locator('.next-card a').first().innerText();
      await page.locator('.next-card a').first().click();
      return words;
    },
    pick: async (scope, words) => {
      ++count.taps;
      await scope.getByRole('radio', { name: words, exact: true }).check();
    },
    choose: async (scope, label, words) => {
      ++count.taps;
      await scope.getByLabel(label).first().selectOption({ label: words });
    },
    enter: async (scope, label, text) => {
      ++count.entries;
      await scope.getByLabel(label).first().fill(text);
    },
    bring: async (words, files) => {
      ++count.taps;
      await page.locator('label.drop', { hasText: words }).first().locator('input').setInputFiles(files);
    },
  };
}

/// From an empty record to its report.
export async function strangersJob(job) {
  const { page, check } = job;
  const hands = counting(page);
  const { tap, next, pick, choose, enter, bring } = hands;
  const files = await inventedFiles(job.work);
  const photograph = join(job.work, 'IMG_2207.png');
  await writeFile(photograph, photographed());
  const main = page.locator('main');
  const said = (words) => main.locator('.said', { hasText: words }).waitFor({ timeout: 60000 });
  const heading = (words) => page.locator('main h1', { hasText: words }).waitFor();
  const batch = page.locator('.batch').first();
  const looked = async (name) => {
    await page.waitForTimeout(300);
    await accessible(check, page, `stranger ${name}`);
    await largeEnough(check, page, `stranger ${name}`);
    await pictured(page, job.folder, `stranger-${name}`);
  };

  await heading('All sheets');
  await looked('01-start');
  await enter(page, 'Entering', 'A. Stranger');
  await enter(main, /^Name/, sheet);
  await tap(main, 'Start this sheet');
  await heading(/^Sheet$/);
  await bring('Bring a photograph', photograph);
  const trouble = main.locator('.trouble').first();
  await trouble.waitFor();
  check.holds('A photograph without a profile', await trouble.innerText(), 'Save it again with its colour profile');
  check.that('… in no words of the command line', !(await trouble.innerText()).includes('--'));
  await writeFile(photograph, photographed([declaration]));
  await bring('Bring a photograph', photograph);
  await said('IMG_2207.png');
  check.equal('The old error is gone', await main.locator('.trouble').count(), 0);
  check.equal('The first next step', await next(), 'Enter the first loss or tear');
  await enter(main, /^Name/, 'corner loss');
  await tap(main, 'Keep it');
  await heading('Loss: corner loss');

  // The wrong backing first: a piece of foam that nobody has read.
  await bring('Bring files of readings', files.wrong);
  await batch.waitFor();
  await choose(batch, 'Read over', 'something else');
  await enter(batch, 'What lay behind is called', 'packing foam');
  await tap(main, 'Keep these readings');
  await said('3 readings');
  check.equal('The loss is read', await main.locator('.slip[aria-current] .standing').innerText(), 'read');
  check.equal('What comes next', await next(), 'Find a tissue for corner loss');
  check.equal('No backing yet', await next(), 'Read what lies behind, and the tissues');

  await heading('Drawer');
  await bring('Bring files of readings', files.drawer);
  await batch.waitFor();
  for (const [rows, name] of [
    ['Rows 1–2', 'black tile'],
    ['Rows 3–4', 'white tile'],
    ['Rows 5–6', 'mount board'],
  ]) {
    await tap(batch, rows);
    await choose(batch, /^They are/, 'what lies behind: black, white, the mount board');
    await enter(batch, 'What lies behind is called', name);
  }
  // Once the last question is answered, the next rows are ticked by themselves.
  await tap(batch, 'Rows 7–8');
  let row = 7;
  for (const name of Object.keys(tissues)) {
    for (const tile of ['black tile', 'white tile']) {
      check.holds('The rows in question', await batch.locator('.say legend').innerText(), `Rows ${row}–${row + 1}`);
      row += 2;
      if (tile === 'black tile') {
        await choose(batch, /^They are/, 'a tissue that is new in the drawer');
        await enter(batch, 'Name of the tissue', name);
      } else {
        await choose(batch, /^They are/, `the new tissue ${name}`);
      }
      await choose(batch, 'Read over', tile);
    }
  }
  await looked('02-drawer-tray');
  await tap(main, 'Keep these readings');
  await said('18 readings');
  check.equal('Tissues in the drawer', await main.locator('.things.many > li').count(), 3);
  check.equal('Back to the loss', await next(), 'Find a tissue for corner loss');

  await heading('Fill: corner loss');
  await choose(main, 'Shown over', 'mount board');
  await page.locator('ol.drawer .strip, .trouble').first().waitFor();
  await looked('03-fill-wrong-backing');
  check.holds('The wrong backing is said', await main.innerText(), 'packing foam');

  // She reads again over the mount board; one repeat slipped; the page is loaded anew in the middle.
  await tap(page.locator('nav.rail'), 'Losses');
  await heading('Loss: corner loss');
  await bring('Bring files of readings', files.right);
  await batch.waitFor();
  await page.reload();
  await batch.waitFor();
  check.holds('What was brought outlives a reload', await batch.innerText(), 'export_0232.csv');
  await batch.getByRole('button', { name: 'Leave row 4 out' }).waitFor();
  await looked('04-slipped');
  await tap(batch, 'Leave row 4 out');
  await tap(main, 'Keep these readings');
  await said('4 readings');
  await tap(main, 'Change what was said of them');
  const kept = main.locator('.kept-readings').first();
  ++hands.count.taps;
  await kept.locator('.row-list label', { hasText: 'mount board' }).click();
  await choose(kept, /^(They are|It is)/, 'leave them out: a slip');
  await tap(kept, 'Keep what I said');
  await said('Changed');
  check.equal('Only the right readings are left', await main.locator('.read-so-far li').count(), 1);
  check.equal('On to the tissue', await next(), 'Find a tissue for corner loss');
  await page.locator('ol.drawer .strip').first().waitFor();
  await looked('05-fill');
  await tap(main, 'Take this fill');
  await said('corner loss');

  await tap(page.locator('nav.rail'), 'Losses');
  await tap(main, 'A new loss or tear');
  await enter(main, /^Name/, 'edge tear');
  await pick(main, 'tear');
  await tap(main, 'Keep it');
  await heading('Loss: edge tear');
  await bring('Bring files of readings', files.tear);
  await batch.waitFor();
  await tap(batch, 'Rows 4–6');
  await choose(batch, 'Read over', 'black tile');
  await tap(main, 'Keep these readings');
  await said('6 readings');
  check.equal('The tear is next', await next(), 'Find a tissue for edge tear');
  await page.locator('ol.drawer .strip').first().waitFor();
  await tap(main, 'Take this fill');
  await said('edge tear');

  await tap(page.locator('nav.rail'), 'Sheet');
  await heading(/^Sheet$/);
  await looked('06-sheet-matched');
  for (const name of ['corner loss', 'edge tear']) {
    check.equal('How it ended', await next(), `Say how ${name} ended`);
    await tap(main, 'It is filled');
    await heading(/^Sheet$/);
  }
  check.equal('The last step', await next(), 'Make the report');
  await tap(main, 'Make the report');
  await said('The report is made');
  const report = await page.evaluate(async (href) => (await fetch(href)).text(), await main.locator('.files a').first().getAttribute('href'));
  for (const words of [sheet, 'corner loss', 'edge tear']) check.holds('The report', report, words);
  await looked('07-report');
  console.log(`a stranger’s job, from an empty record to the report: ${hands.count.taps} taps, ${hands.count.entries} entries`);
  check.that('It takes at most 60 taps', hands.count.taps <= 60, hands.count.taps);
  check.that('It takes at most 45 entries', hands.count.entries <= 45, hands.count.entries);
}
