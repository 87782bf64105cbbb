// The whole Kestrel Bay job as a person does it on the page. Invented data: no such chart exists.
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { kestrelBay, runProgram, told } from './bench.mjs';
import { accessible, largeEnough, pictured } from './checks.mjs';
import { bring, card, choose, fill, go, open, press, said } from './hands.mjs';
import { declaredSrgb } from './pictures.mjs';

export const sheet = 'Kestrel Bay pilot chart, 1894';
const at = (view, part = '') =>
  `#/sheet/${encodeURIComponent(sheet)}/${view}${part ? `/${encodeURIComponent(part)}` : ''}`;
const file = (name) => join(kestrelBay, name);
/// As the page names the lamps of a gallery.
const lampWords = { D65: 'daylight', A: 'tungsten', 'LED-B1': 'warm LED', 'LED-B2': 'warm LED, 3000 K', 'LED-B3': 'neutral LED' };
const two = (value) => value.toFixed(2);
const signed = (value, digits) => {
  const text = Math.abs(value).toFixed(digits);
  return Number(text) === 0 ? text : (value > 0 ? '+' : '−') + text;
};

async function looked(job, name) {
  await accessible(job.check, job.page, name);
  await largeEnough(job.check, job.page, name);
  await pictured(job.page, job.folder, name);
}

export async function newSheet(job) {
  const { page } = job;
  await page.locator('main h1').waitFor();
  await looked(job, '01-start-empty');
  await press(page, 'Start this sheet');
  job.check.holds('Without a name behind it nothing is entered', await page.locator('[role=alert]').innerText(), 'who is entering');
  await fill(page, 'Entering', 'M. Harrow');
  await fill(page, /^Name/, sheet);
  await fill(page, /^Object number/, 'KB 1894.1');
  await fill(page, /^Description/, 'Lithographed pilot chart on machine-made paper, one sheet');
  await page.reload();
  job.check.equal('A draft outlives a reload', await page.getByLabel(/^Name/).first().inputValue(), sheet);
  await fill(page, /^Weight/, '78');
  await press(page, 'Start this sheet');
  await page.locator('main h1', { hasText: /^Sheet$/ }).waitFor();
}

export async function photographs(job) {
  const { page } = job;
  await go(page, at('sheet'));
  await choose(page, 'Taken', 'before');
  await bring(page, 'Bring a photograph', join(job.pictures, 'before.tif'));
  await said(page, 'before.tif');
  await choose(page, 'Taken', 'after');
  await bring(page, 'Bring a photograph', join(job.pictures, 'after.tif'));
  await said(page, 'after.tif');
  await page.locator('.photo-box img').first().waitFor();
  await page.waitForTimeout(500);
  const drawn = await page.locator('.photo-box img').evaluateAll((all) => all.every((one) => one.complete && one.naturalWidth > 0));
  job.check.that('Every tile of the photograph came', drawn);
  const shownAt = async () => Number((await page.locator('.photo-tools').innerText()).match(/shown at (\d+) %/)[1]);
  const whole = await shownAt();
  await press(page, 'Nearer');
  job.check.that('The picture comes nearer by a button', (await shownAt()) > whole);
  await page.locator('.photo-box').focus();
  await page.keyboard.press('0');
  job.check.equal('Key 0 shows all of it', await shownAt(), whole);
  await page.keyboard.press('+');
  await page.locator('.photo-box').hover();
  await page.mouse.wheel(0, -300);
  job.check.that('… by key and wheel', (await shownAt()) > whole * 1.6);
  const left = () => page.locator('.photo-box img').last().evaluate((one) => one.getBoundingClientRect().left);
  const from = await left();
  const box = await page.locator('.photo-box').boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width / 2 + 60, box.y + box.height / 2 + 20, { steps: 6 });
  await page.mouse.up();
  job.check.that('The picture is dragged', Math.abs((await left()) - from) > 20);
  await press(page, 'All of it');
  await looked(job, '03-sheet');
}

export async function drawer(job) {
  const { page } = job;
  await go(page, '#/drawer');
  const readings = card(page, 'Readings of tissues and of what lies behind');
  await bring(readings, 'Bring files of readings', [file('drawer.csv'), file('backings.csv')]);
  await readings.getByRole('button', { name: /Keep the readings of 2 files/ }).waitFor();
  const rows = (await readFile(file('drawer.csv'), 'utf8')).split('\n').filter((line) => line && !line.startsWith('#'));
  job.check.holds('The preview of the drawer', await readings.innerText(), `${rows.length - 1} readings`);
  await open(readings, 'New in the drawer');
  await fill(readings, /^kozo 17 plain$/, '900');
  await looked(job, '02-drawer-preview');
  await press(readings, /Keep the readings of 2 files/);
  await said(page, 'drawer.csv');
  const drawerNow = await card(page, 'Tissues in the drawer').innerText();
  job.check.holds('The drawer', drawerNow, 'kozo 17 plain lot K116, 17 g/m², 900 cm² left');
  const names = new Set(rows.slice(1).map((line) => line.split(',')[0]));
  job.check.equal('Tissues in the drawer', await card(page, 'Tissues in the drawer').locator('.things > li').count(), names.size);
}

export async function stocks(job) {
  const { page } = job;
  await go(page, '#/drawer');
  const lines = (await readFile(file('stocks.csv'), 'utf8')).trim().split('\n').slice(1);
  for (const line of lines) {
    const [stock, colorant, strength, drops, grams, density] = line.split(',');
    const droppers = card(page, 'Droppers');
    await open(droppers, 'Weigh a dropper');
    await fill(droppers, /^Name/, `dropper of ${colorant}`);
    await fill(droppers, /^Drops weighed/, drops);
    await fill(droppers, /^They weigh/, grams);
    await fill(droppers, /^Density/, density);
    await press(droppers, 'Keep this dropper');
    await said(page, `dropper of ${colorant}`);
    const shelf = card(page, 'Stocks');
    const enter = shelf.getByRole('button', { name: 'Enter a stock' });
    if (!(await shelf.getByLabel(/^Name/).count())) await enter.click();
    await fill(shelf, /^Name/, stock);
    await fill(shelf, /^Dry colorant/, `${colorant}=${Number(strength)}`);
    await fill(shelf, /^Dropper/, `dropper of ${colorant}`);
    await enter.click();
    await said(page, stock);
  }
  job.check.equal('Stocks on the shelf', await card(page, 'Stocks').locator('.things > li').count(), lines.length);
  await looked(job, '04-drawer');
}

export async function losses(job) {
  const { page } = job;
  for (const [name, nature] of [
    ['loss 1', 'loss'],
    ['tear 2', 'tear'],
  ]) {
    await go(page, at('loss'));
    await fill(page, /^Name/, name);
    await page.getByRole('radio', { name: nature, exact: true }).check();
    await press(page, 'Keep it');
    await page.locator('main h1', { hasText: `Loss: ${name}` }).waitFor();
  }
  await go(page, at('loss', 'loss 1'));
  if (job.pictures) {
    await bring(page, 'Or bring a mask', join(job.pictures, 'loss-1.png'));
    await said(page, 'mask of loss 1');
    await page.locator('.mark.loss').first().waitFor();
    job.check.that('The edge of the mask is seen on the photograph', (await page.locator('.mark.loss').count()) === 1);
  }
  const around = card(page, 'The paper beside it');
  await bring(around, 'Bring files of readings', file('chart.cgats'));
  await around.locator('.agreement p').first().waitFor();
  const tone = await told(job.program, 'tone', file('chart.cgats'));
  for (const one of tone.tones)
    job.check.holds('The preview’s tone', await around.locator('.agreement').innerText(), `L* ${one.lab[0].toFixed(1)}`);
  await looked(job, '05-loss');
  await press(around, 'Keep these readings');
  await said(page, 'chart.cgats');
  await go(page, at('loss'));
  const several = card(page, 'Readings of several losses and tears in one file');
  await bring(several, 'Bring files of readings', file('chart.csv'));
  await several.getByRole('button', { name: 'Keep these readings' }).waitFor();
  // The tide line is neither loss nor tear yet: what it is may be said later, and is not forgotten.
  await choose(several, 'They are', 'later');
  await press(several, 'Keep these readings');
  await said(page, 'What 6 of them are is not said yet');
  await go(page, at('sheet'));
  job.check.equal('The next step', await page.locator('.next-card a').innerText(), 'Say what 6 readings are');
  await page.locator('.next-card a').click();
  await press(page, 'Say what they are');
  const loose = page.locator('.kept-readings').first();
  await choose(loose, 'They are', 'newspot');
  await looked(job, '05-loose-readings');
  await press(loose, 'Keep what I said');
  await said(page, 'what 6 readings are');
  await page.locator('nav.hand', { hasText: 'tide line 3' }).waitFor();
}

/// Typed and pasted readings: what is understood is shown, nothing is kept.
export async function typedAndPasted(job) {
  const { page, check } = job;
  await go(page, at('loss', 'tear 2'));
  const around = card(page, 'The paper beside it');
  await around.getByRole('radio', { name: 'Typed L*a*b*' }).check();
  await fill(around, /^L\*$/, 'pale');
  await choose(around, /^Light of its/, 'D50');
  await choose(around, /^Observer/, '2');
  await press(around, 'See what is understood');
  check.holds('A word for a number', await page.locator('[role=alert]').first().innerText(), 'found ‘pale’');
  await fill(around, /^L\*$/, '85,9');
  await fill(around, /^a\*$/, '2.1');
  await fill(around, /^b\*$/, '13,0');
  await press(around, 'See what is understood');
  await around.locator('.batch').waitFor();
  check.holds('The typed reading', await around.locator('.batch').innerText(), '1 reading');
  await press(around, /^Put away/);
  await around.getByRole('radio', { name: 'Pasted cells' }).check();
  const lines = (await readFile(file('chart.csv'), 'utf8')).split('\n').filter((line) => line && !line.startsWith('#'));
  const cells = lines
    .slice(0, 4)
    .map((line, i) => line.split(',').map((cell) => (i ? cell.replace(/^(\d+)\.(\d+)$/, '$1,$2') : cell)).join('\t'))
    .join('\n');
  await fill(around, 'Cells from a spreadsheet', cells);
  await press(around, 'See what is understood');
  await around.locator('.agreement p').first().waitFor();
  const four = join(job.work, 'four.csv');
  await writeFile(four, lines.slice(0, 4).join('\n') + '\n');
  const tone = await told(job.program, 'tone', four);
  const text = await around.locator('.batch').innerText();
  for (const one of tone.tones)
    check.holds('Pasted with decimal commas', text, `L* ${one.lab[0].toFixed(1)}  a* ${signed(one.lab[1], 1)}  b* ${signed(one.lab[2], 1)}`);
  await looked(job, '05-pasted');
  await press(around, /^Put away/);
}

/// The edge of the tear, by taps, with one taken back.
export async function drawEdge(job) {
  const { page } = job;
  await go(page, at('loss', 'tear 2'));
  await press(page, 'Draw its edge');
  const box = page.locator('.photo-box');
  await box.scrollIntoViewIfNeeded();
  const place = await box.boundingBox();
  for (const [x, y] of [
    [0.62, 0.3],
    [0.64, 0.31],
    [0.9, 0.9],
    [0.66, 0.45],
    [0.63, 0.46],
  ]) {
    await page.mouse.click(place.x + x * place.width, place.y + y * place.height);
    if (x === 0.9) await press(page, 'Take one corner back');
  }
  job.check.holds('The edge being drawn', await page.locator('main').innerText(), '4 corners');
  await press(page, 'Close and keep the edge');
  await said(page, 'edge of tear 2');
  await page.locator('.mark.tear').waitFor();
  await looked(job, '06-tear-edge');
}

const strips = (page) => page.locator('ol.drawer .strip');

async function stripTexts(page) {
  return strips(page).evaluateAll((all) => all.map((one) => one.innerText));
}

async function heldAgainst(job, ranking, what, most = 12) {
  const texts = await stripTexts(job.page);
  job.check.equal(`${what}: strips`, texts.length, Math.min(most, ranking.candidates.length));
  texts.forEach((text, i) => {
    const c = ranking.candidates[i];
    const words = [
      `${c.tissue} × ${c.plies}`,
      two(c.aim_de00),
      `worst ${two(c.worst_de00)} under ${lampWords[c.worst_light]}`,
      c.transmitted.known ? `light sheet ${signed(c.transmitted.dL, 0)} L*` : 'light sheet not known',
      ...c.reasons,
    ];
    const missing = words.filter((one) => !text.includes(one));
    job.check.that(`${what}: strip ${i + 1} has the command line’s figures`, !missing.length, `${missing.join(', ')} not in ${text}`);
  });
}

export async function fills(job) {
  const { page, check } = job;
  await go(page, at('fill', 'loss 1'));
  await choose(page, 'Shown over', 'mount board');
  await strips(page).first().waitFor();
  await page.waitForTimeout(400);
  const common = ['tissue', '--record', job.record, '--for', `${sheet}/loss 1`, '--from', 'drawer', '--over', 'mount board'];
  const ranking = await told(job.program, ...common);
  check.equal('The command line ranks as many', ranking.ranked, 96);
  await heldAgainst(job, ranking, 'loss 1 under D65');
  await press(page, /^Show all/);
  await strips(page).nth(95).waitFor();
  await heldAgainst(job, ranking, 'the whole drawer', 96);
  await page.reload();
  await strips(page).first().waitFor();
  check.holds('The verdict', await page.locator('.verdict').first().innerText(), 'No tissue within the tolerance');
  const best = ranking.candidates[0];
  const large = await page.locator('.large-words').innerText();
  for (const part of [
    two(best.de00),
    `${signed(best.dL, 1)} L*`,
    `${signed(best.da, 1)} a*`,
    `${signed(best.db, 1)} b*`,
    `${two(best.worst_de00)} under ${lampWords[best.worst_light]}`,
    `ΔE00 ${two(best.overlap_de00)}`,
    ...best.cautions,
  ])
    check.holds('The large fill', large, part);
  await looked(job, '07-fill');

  await page.getByRole('radio', { name: 'tungsten (A)' }).check();
  await page.waitForTimeout(600);
  const lamps = ['A', 'D65', 'LED-B1', 'LED-B2', 'LED-B3'].flatMap((lamp) => ['--light', lamp]);
  await heldAgainst(job, await told(job.program, ...common, ...lamps), 'loss 1 under A');
  await page.getByRole('radio', { name: 'daylight (D65)' }).check();
  await press(page, 'Most plies: one fewer');
  await page.waitForTimeout(600);
  await heldAgainst(job, await told(job.program, ...common, '--plies', '1-3'), 'loss 1, up to 3 plies');
  await press(page, 'Most plies: one more');
  await page.waitForTimeout(600);

  await strips(page).nth(1).click();
  check.equal('The strip that is in hand', await strips(page).nth(1).getAttribute('aria-pressed'), 'true');
  await strips(page).nth(0).click();
  await page.getByRole('radio', { name: 'on the light sheet' }).check();
  await page.waitForTimeout(300);
  await pictured(page, job.folder, '08-fill-light-sheet');
  await page.getByRole('radio', { name: 'lying on its backing' }).check();
}

export async function inPlace(job) {
  const { page, check } = job;
  await press(page, 'See it in its place');
  await page.locator('.divided img').nth(1).waitFor({ timeout: 60000 });
  await page.waitForTimeout(500);
  const sizes = await page.locator('.divided img').evaluateAll((all) => all.map((one) => [one.naturalWidth, one.naturalHeight]));
  check.that('With and without the fill are one window', sizes.length === 2 && sizes[0].join() === sizes[1].join(), JSON.stringify(sizes));
  const divider = page.getByLabel(/^Divider/);
  await divider.focus();
  await page.keyboard.press('ArrowLeft');
  check.equal('The divider moves by key', await divider.inputValue(), '49');
  await page.locator('.divided').scrollIntoViewIfNeeded();
  const box = await page.locator('.divided').boundingBox();
  await page.mouse.click(box.x + box.width * 0.25, box.y + box.height / 2);
  check.that('The divider moves by finger', Math.abs(Number(await divider.inputValue()) - 25) < 6, await divider.inputValue());
  await divider.fill('50');
  await looked(job, '09-fill-in-place');
}

export async function takeFill(job) {
  const { page, check } = job;
  await fill(page, 'Why, in your words', 'nearest, but too light on the light sheet');
  await press(page, 'Set it aside');
  await said(page, 'Refused for loss 1');
  await go(page, at('fill', 'tear 2'));
  await choose(page, 'Shown over', 'mount board');
  await strips(page).first().waitFor();
  await page.waitForTimeout(500);
  const tear = await told(
    job.program, 'tissue', '--record', job.record, '--use', 'tear', '--for', 'tear 2', '--from', 'drawer', '--over', 'mount board',
  );
  await heldAgainst(job, tear, 'tear 2');
  await press(page, 'Take this fill');
  await said(page, 'Chosen for tear 2');
  check.holds('Decided so far', await card(page, 'Decided so far').innerText(), `${tear.candidates[0].tissue} × ${tear.candidates[0].plies}`);
  await looked(job, '10-fill-tear');
}

export async function ladder(job) {
  const { page, check } = job;
  await go(page, '#/ladder');
  await looked(job, '11-ladder-empty');
  const step = (n) => page.locator('details.step').nth(n - 1);
  if (!(await step(2).evaluate((e) => e.open))) await step(2).locator('summary').first().click();
  if (!(await step(4).evaluate((e) => e.open))) await step(4).locator('summary').first().click();
  const whole = await open(step(4), 'Or a whole ladder in one file');
  await bring(whole, 'Bring files of readings', file('ladders.csv'));
  await whole.getByRole('button', { name: 'Keep these readings' }).waitFor();
  await pictured(page, job.folder, '12-ladder-preview');
  await press(whole, 'Keep these readings');
  await said(page, 'ladders.csv');
  if (!(await step(4).evaluate((e) => e.open))) await step(4).locator('summary').first().click();
  await fill(step(4), /^Colorant/, 'ochre');
  await fill(step(4), /^Its amount/, '0.5');
  await step(4).getByRole('radio', { name: 'Pasted cells' }).first().check();
  await fill(step(4), 'Cells from a spreadsheet', 'backing\t400\t500\t600\t700\nblack\t0.30\t0.35\t0.40\t0.42');
  await press(step(4), 'See what is understood');
  await step(4).locator('.batch').first().waitFor();
  check.holds('A rung that was pasted carries its load', await step(4).locator('.batch').first().innerText(), 'ochre 0.5');
  await press(step(4), /^Put away/);
  if (!(await step(5).evaluate((e) => e.open))) await step(5).locator('summary').first().click();
  await step(5).getByLabel(/backings.csv/).check();
  for (const [name, index] of [
    ['ochre', 'PY43'],
    ['red earth', 'PR102'],
    ['raw umber', 'PBr7'],
    ['bone black', 'PBk9'],
    ['chalk', 'PW18'],
  ])
    await fill(page, `Colour Index name of ${name}`, index);
  await press(page, 'Calibrate');
  await press(page, /at work/);
  await press(page, 'Stop it');
  await page.locator('[role=alert]', { hasText: 'stopped, as asked' }).waitFor({ timeout: 60000 });
  check.equal('Of stopped work nothing is kept', await page.locator('.plot').count(), 0);
  await press(page, /^Jobs/);
  await press(page, 'Calibrate');
  await said(page, 'colorants calibrated');
  const palette = await told(
    job.program, 'colorant', '--record', job.record, 'ladders.csv', 'backings.csv', '--advise',
    '--colour-index', 'ochre=PY43', '--colour-index', 'red earth=PR102', '--colour-index', 'raw umber=PBr7',
    '--colour-index', 'bone black=PBk9', '--colour-index', 'chalk=PW18', '--out', join(job.work, 'palette.json'),
  );
  await open(page.locator('main'), 'Models and curves');
  await page.locator('.plot').first().waitFor();
  const text = await page.locator('main').innerText();
  check.holds('The calibration', text, two(palette.cross_validated_de00));
  for (const law of palette.laws) check.holds('The laws tried', text, `${law.name}\t${two(law.cross_validated_de00)}`);
  for (const one of palette.colorants) check.holds('The colorants', text, `${one.load_range[1].toFixed(4)}`);
  await looked(job, '13-ladder');
}

async function cardHeldAgainst(job, scope, recipe, what) {
  const text = await scope.textContent();
  const parts = [
    ...recipe.dispense.flatMap((item) => [item.stock, `${two(item.drops === null ? item.ml : item.drops_ml)} ml`, ...(item.drops === null ? [] : [`${item.drops} drop`])]),
    two(recipe.de00),
    two(recipe.aim_de00),
    `ΔE00 ${two(recipe.u95_de00)}`,
    `${two(recipe.worst_de00)} under ${lampWords[recipe.worst_light]}`,
    ...recipe.coats.flatMap((coat) => (recipe.coats.length > 1 ? [two(coat.de00), `L* ${coat.lab[0].toFixed(1)}`] : [])),
    ...recipe.cautions,
    ...(recipe.advice ?? []),
  ];
  const missing = parts.filter((part) => !text.includes(part));
  job.check.that(`${what}: the card has the command line’s figures and cautions`, !missing.length, missing.join(' | '));
}

async function keptResult(page, id) {
  return page.evaluate(async (number) => (await fetch(`api/result/${number}`)).json(), id);
}
async function newest(page, verb) {
  const all = await page.evaluate(
    async (name) => (await fetch(`api/sheet?name=${encodeURIComponent(name)}`)).json(),
    sheet,
  );
  const ids = all.things.filter((one) => one.kind === 'computation' && one.columns.verb === verb).map((one) => one.id);
  return keptResult(page, Math.max(...ids));
}

export async function wash(job) {
  const { page, check } = job;
  await go(page, at('wash', 'loss 1'));
  await choose(page, 'Shown over', 'mount board');
  await fill(page, /^Lighter than the sheet/, '0.5');
  await fill(page, /^Stronger/, '-0.5');
  await fill(page, /^Volume of the wash/, '60');
  await fill(page, /^Area of one sheet/, '400');
  await fill(page, /^Pick-up/, '95');
  check.that('Only calibrations with a name are offered', !(await page.getByLabel('Palette').innerText()).includes('#'));
  await looked(job, '14-wash-plan');
  await press(page, 'Plan the wash');
  await said(page, 'recipes for loss 1');
  await page.locator('.bench-card').first().waitFor();
  const kept = await newest(page, 'wash');
  job.wash = join(job.work, 'wash.json');
  await writeFile(job.wash, JSON.stringify(kept.result));
  job.washName = kept.name;
  const line = await told(
    job.program, 'wash', '--record', job.record, '--for', `${sheet}/loss 1`, '--on', 'kozo 17 plain',
    '--from', kept.parameters.palette, '--over', 'mount board', '--stock', 'stocks', '--method', 'bath',
    '--pick-up', '95', '--volume', '60', '--area', '0.04', '--aim', '0.5,-0.5', '--top', '3',
  );
  check.equal('Recipes', await page.locator('.bench-card').count(), line.recipes.length);
  for (let i = 0; i < line.recipes.length; ++i)
    await cardHeldAgainst(job, page.locator('.bench-card').nth(i), line.recipes[i], `Recipe ${i + 1}`);
  await looked(job, '15-wash-cards');
  // The newest list is shown: by now, the command line's.
  await page.reload();
  await page.locator('.bench-card').first().waitFor();
  await page.locator('.bench-card').first().locator('.measure input').first().check();
  await page.reload();
  await page.locator('.bench-card').first().waitFor();
  check.that('What went into the tray stays ticked', await page.locator('.bench-card').first().locator('.measure input').first().isChecked());
  await press(page.locator('.bench-card').first(), 'Make a trial of this recipe');
  await page.locator('main h1', { hasText: 'Trial' }).waitFor();
}

export async function trial(job) {
  const { page, check } = job;
  await press(page, 'Enter the trial');
  await said(page, 'trial 1 for loss 1');
  const readings = join(job.work, 'trial.csv');
  await runProgram(job.invent, 'trial', readings, '3', job.wash);
  const own = card(page, 'Trial: trial 1 for loss 1');
  await bring(own, 'Bring files of readings', readings);
  await press(own, 'Keep these readings');
  await said(page, 'trial.csv');
  await said(page, 'The correction after trial 1');
  const line = await told(
    job.program, 'correct', job.washName, '--record', job.record, '--recipe', '1', '--trial', 'trial 1 for loss 1',
  );
  // Only what should come nearer than the trial is offered.
  if (line.recipes.length) await page.locator('.bench-card').first().waitFor();
  await open(page.locator('main'), 'What the trial taught');
  const text = await page.locator('main').innerText();
  check.holds('The trial', text, `ΔE00 ${two(line.trial.de00)} from the sheet`);
  check.holds('The trial', text, `rom the aim ΔE00 ${two(line.trial.aim_de00)}`);
  check.holds('What now', text, line.what_now.split('. ')[0]);
  check.holds('What was learnt', text, `${(100 * line.learned.of_which_dosing).toFixed(0)} % of the miss`);
  check.equal('Proposals', await page.locator('.bench-card').count(), line.recipes.length);
  for (let i = 0; i < line.recipes.length; ++i)
    await cardHeldAgainst(job, page.locator('.bench-card').nth(i), line.recipes[i], `Correction ${i + 1}`);
  await looked(job, '16-trial');
  await press(page, 'Take it as the fill');
  await said(page, 'Chosen for loss 1: kozo 17 plain × 1, toned');
}

export async function spots(job) {
  const { page, check } = job;
  for (const stage of ['before', 'after']) {
    await go(page, at('spot'));
    const several = card(page, 'Readings of several spots in one file');
    await bring(several, 'Bring files of readings', file(`${stage}.csv`));
    await several.getByRole('button', { name: 'Keep these readings' }).waitFor();
    if (stage === 'before') {
      await choose(several, 'They are', 'newspot');
      await looked(job, '17-spots-preview');
    }
    await fill(several, 'Read when', stage);
    await press(several, 'Keep these readings');
    await said(page, `${stage}.csv`);
  }
  await go(page, at('spot', 'spot 1 sea'));
  if (job.pictures) {
    await press(page, 'Place it on the photograph');
    const box = page.locator('.photo-box');
    await box.focus();
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('Enter');
    await said(page, 'has its place');
    await page.locator('.mark.spot').waitFor();
  }
  await looked(job, '18-spot');

  await go(page, at('change'));
  await fill(page, /^Reproducibility/, '0.15');
  await press(page, 'Is the change real?');
  await said(page, 'comparisons');
  const line = await told(
    job.program, 'difference', '--record', job.record, `${sheet}@before`, `${sheet}@after`,
    '--light', 'D65', '--light', 'LED-B1', '--reproducibility', '0.15',
  );
  const text = await page.locator('main').innerText();
  for (const pair of line.pairs.filter((one) => one.light === 'D65')) {
    check.holds(pair.name, text, `ΔE00 ${two(pair.de00)}, between ${two(pair.interval95_de00[0])} and ${two(pair.interval95_de00[1])}`);
    const words = { within: 'no change that matters', beyond: 'changed', undecided: 'cannot be decided' }[pair.verdict];
    check.holds(pair.name, text, `${pair.name}: ${words}`);
  }
  await looked(job, '19-change');
}

export async function seriesAndMaps(job) {
  const { page, check } = job;
  await go(page, at('change'));
  await press(page, 'Follow it stage by stage');
  const series = card(page, 'Stage by stage');
  await series.locator('.plot').waitFor({ timeout: 60000 });
  check.holds('The series has its numbers as a table', await series.innerText(), 'Its numbers as a table');
  await press(page, 'Map the change');
  await page.locator('img.map').first().waitFor({ timeout: 120000 });
  await page.waitForTimeout(500);
  const came = await page.locator('img.map').evaluateAll((all) => all.every((one) => one.complete && one.naturalWidth > 0));
  check.that('The map came', came);
  await looked(job, '20-change-map');
}

export async function record(job) {
  const { page, check } = job;
  await go(page, at('record'));
  await fill(page, /^The note|^Text/, 'The tide line was reduced in two baths.');
  await press(page, 'Keep the note');
  await said(page, 'note');
  await fill(page, 'Words that stand in it', 'tide baths');
  await press(page, /^Find$/);
  await card(page, 'Find').locator('.things', { hasText: 'The tide line was reduced' }).waitFor();
  const group = await open(card(page, `What the record holds of ${sheet}`), 'Losses and tears');
  await group.getByLabel('More on loss 1').click();
  await group.getByRole('button', { name: 'Correct loss 1' }).click();
  await fill(group, /^Place/, 'lower edge');
  await fill(group, /^Why it is corrected/, 'its place was not said');
  await press(group, 'Keep the correction');
  await said(page, 'Corrected');
  await group.getByRole('button', { name: 'History of loss 1' }).click();
  check.holds('The history of loss 1', await group.innerText(), 'its place was not said');
  await looked(job, '21-record');
}

export async function withdrawn(job) {
  const { page, check } = job;
  await go(page, at('record'));
  const group = await open(card(page, `What the record holds of ${sheet}`), 'Notes');
  await group.getByLabel(/^More on/).first().click();
  await group.getByRole('button', { name: /^Withdraw/ }).first().click();
  await fill(group, /is withdrawn/, 'written on the wrong sheet');
  await press(group, 'Withdraw it');
  await said(page, 'Withdrawn');
  check.that('A withdrawn note is no longer listed', !(await page.locator('main').innerText()).includes('Notes: 1'));
}

export async function report(job) {
  const { page, check } = job;
  await go(page, at('record'));
  await fill(page, /^Title/, sheet);
  await fill(page, /^Notice/, 'Invented data: no such chart, laboratory or reading exists');
  await press(page, 'Make the report');
  await said(page, 'The report is made');
  const links = await page.locator('.files a').evaluateAll((all) => all.map((one) => one.href));
  check.equal('Files of the report', links.length, 4);
  for (const link of links) {
    const [status, size] = await page.evaluate(async (href) => {
      const answer = await fetch(href);
      return [answer.status, (await answer.arrayBuffer()).byteLength];
    }, link);
    check.that(`${link.split('/').pop()} is there`, status === 200 && size > 500, `${status}, ${size} bytes`);
  }
  await press(page, 'Check the record');
  const again = card(page, 'Does it still hold?');
  await again.locator('.verdict').waitFor({ timeout: 60000 });
  check.holds('The record checked', await again.innerText(), 'All of it agrees');
  const line = await told(job.program, 'record', 'recheck', '--record', job.record);
  check.holds('The record checked', await again.innerText(), `${line.results} results with ${line.figures}`);
  await looked(job, '22-report');
}

/// A picture of which nothing is known but that it says it is sRGB.
export async function declared(job) {
  const { page, check } = job;
  const looks = join(job.work, 'looks.png');
  await writeFile(looks, declaredSrgb(60, 40));
  await go(page, at('sheet'));
  await choose(page, 'Taken', 'before');
  await bring(page, 'Bring a photograph', looks);
  await said(page, 'looks.png');
  await press(page, /looks/);
  const line = page.locator('.photo .note-line', { hasText: 'for looking, not for measuring' });
  await line.waitFor({ timeout: 20000 });
  check.that('A picture that only says it is sRGB is marked where it is shown', (await line.count()) === 1);
}
