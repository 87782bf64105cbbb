// node run.mjs PROGRAM [FOLDER|-]: the entire Kestrel Bay job in a browser, from an empty record to
// the report; every figure shown is held against the command line on the same record; axe-core looks
// at each view. Pictures of each view at two sizes go into FOLDER. Invented data.
import { mkdir, rm } from 'node:fs/promises';
import { dirname, join, resolve } from 'node:path';
import { gzipSync } from 'node:zlib';
import { emptyFolder, openBench, openBrowser, runProgram } from './bench.mjs';
import { checking, sizes } from './checks.mjs';
import * as steps from './job.mjs';
import { strangersJob } from './stranger.mjs';
import { beyondTheScreen, keyboardOnly, measured, offline, zoomed } from './manner.mjs';

const [program, where] = process.argv.slice(2);
if (!program) {
  console.error('usage: node run.mjs PROGRAM [FOLDER|-]');
  process.exit(2);
}
const folder = where && where !== '-' ? resolve(where) : '';
if (folder) await mkdir(folder, { recursive: true });

const check = checking();
const work = await emptyFolder();
const examples = join(dirname(resolve(program)), '../../examples');
const pictures = join(work, 'photographs');
await mkdir(pictures);
await runProgram(join(examples, 'photographs'), pictures);

const record = join(work, 'kestrel-bay.mendtone');
const bench = await openBench(resolve(program), record);
const browser = await openBrowser(sizes.wide);
const { page } = browser;
const faults = [];
const foreign = offline(page, bench.address);
page.on('pageerror', (error) => faults.push(error.message));
page.on('console', (message) => message.type() === 'error' && faults.push(message.text()));

const job = { check, page, folder, work, pictures, record, program: resolve(program), invent: join(examples, 'invent') };
const day = [
  'newSheet', 'drawer', 'photographs', 'stocks', 'losses', 'drawEdge', 'typedAndPasted', 'fills', 'inPlace', 'takeFill', 'ladder', 'wash',
  'trial', 'spots', 'seriesAndMaps', 'record', 'withdrawn', 'report',
  'declared',
];

/// A stranger's job has a record of its own.
async function stranger() {
  const own = await emptyFolder();
  const other = await openBench(resolve(program), join(own, 'saltings.mendtone'));
  const window = await openBrowser(sizes.wide);
  window.page.on('pageerror', (error) => faults.push(error.message));
  try {
    await window.page.goto(other.address);
    await strangersJob({ check, page: window.page, folder, work: own });
  } catch (error) {
    check.that('the stranger’s job', false, error.stack ?? error);
    if (folder) await window.page.screenshot({ path: join(folder, 'failed-stranger.png'), fullPage: true });
  } finally {
    await window.close();
    await other.close();
    await rm(own, { recursive: true, force: true });
  }
}

try {
  await stranger();
  await page.goto(bench.address);
  for (const step of day) {
    const from = Date.now();
    try {
      await steps[step](job);
      console.log(`${step}: ${((Date.now() - from) / 1000).toFixed(1)} s`);
    } catch (error) {
      check.that(step, false, error.stack ?? error);
      const trouble = await page.locator('[role=alert]').allInnerTexts();
      if (trouble.join('')) console.log(`  the page says: ${trouble.join(' ')}`);
      if (folder) await page.screenshot({ path: join(folder, `failed-${step}.png`), fullPage: true });
    }
  }
  await keyboardOnly(job, bench.address);
  await zoomed(job, bench.address);
  await beyondTheScreen(job, bench.address);
  await measured(job, bench.address, gzipSync);
  check.that('The page asks nothing of any other address', foreign.length === 0, foreign.join(' '));
  check.that('No fault was told in the browser', faults.length === 0, faults.join(' | '));
} finally {
  await browser.close();
  await bench.close();
  await rm(work, { recursive: true, force: true });
}
console.log(check.told());
process.exit(check.failed() ? 1 : 0);
