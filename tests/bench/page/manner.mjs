// How the page behaves: by keys alone, enlarged twice, quick enough, and talking to nobody else.
import { openBrowser } from './bench.mjs';
import { accessible } from './checks.mjs';
import { sheet } from './job.mjs';

const at = (view, part = '') =>
  `#/sheet/${encodeURIComponent(sheet)}/${view}${part ? `/${encodeURIComponent(part)}` : ''}`;

export function offline(page, address) {
  const foreign = [];
  const home = new URL(address).origin;
  page.on('request', (request) => {
    const url = new URL(request.url());
    if (!['data:', 'blob:'].includes(url.protocol) && url.origin !== home) foreign.push(request.url());
  });
  return foreign;
}

/// Tabs until the focus is on something whose text holds the words.
async function tabTo(page, words, most = 120) {
  for (let i = 0; i < most; ++i) {
    await page.keyboard.press('Tab');
    const here = await page.evaluate(() => {
      const e = document.activeElement;
      return [e.getAttribute('aria-label'), e.textContent, e.closest('label')?.textContent].filter(Boolean).join(' ');
    });
    if (here.includes(words)) return true;
  }
  return false;
}

export async function keyboardOnly(job, address) {
  const browser = await openBrowser({ width: 1280, height: 800 });
  const { page } = browser;
  const { check } = job;
  try {
    await page.goto(address);
    await page.locator('.slip').first().waitFor();
    check.that('By keys: the sheet is reached', await tabTo(page, sheet));
    await page.keyboard.press('Enter');
    await page.locator('main h1', { hasText: 'Sheet' }).waitFor();
    await page.waitForTimeout(200);
    check.equal('By keys: the focus goes to the heading of the new view', await page.evaluate(() => document.activeElement.tagName), 'H1');
    await page.evaluate((hash) => (location.hash = hash), at('fill', 'loss 1'));
    await page.locator('ol.drawer .strip').nth(2).waitFor();
    check.that('By keys: a strip is reached', await tabTo(page, '3 '));
    const outline = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
    check.equal('By keys: the focus is seen', outline, 'solid');
    await page.keyboard.press('Enter');
    check.equal('By keys: a strip is taken in hand', await page.locator('.strip[aria-pressed=true]').count(), 1);
    const names = await page.evaluate(() =>
      [...document.querySelectorAll('main, header, nav, aside, h1')].map((e) => e.tagName).join(' '),
    );
    for (const landmark of ['MAIN', 'HEADER', 'NAV', 'H1']) check.holds('The landmarks', names, landmark);
  } finally {
    await browser.close();
  }
}

/// At 200 % a view 1280 wide holds what one 640 wide holds.
export async function zoomed(job, address) {
  const browser = await openBrowser({ width: 640, height: 400 }, { deviceScaleFactor: 2 });
  const { page } = browser;
  try {
    for (const [view, part] of [['sheet', ''], ['loss', 'loss 1'], ['fill', 'loss 1'], ['wash', 'loss 1'], ['trial', 'loss 1'], ['change', ''], ['record', '']]) {
      await page.goto(address + at(view, part));
      await page.reload();
      await page.locator('main h1').waitFor();
      await page.waitForTimeout(700);
      await accessible(job.check, page, `${view} at 200 %`);
      if (job.folder) await page.screenshot({ path: `${job.folder}/zoom-${view}.png`, fullPage: true });
    }
  } finally {
    await browser.close();
  }
}

/// Where a screen cannot show a colour, a hatch and words say so. The answer is changed on its way, for
/// no paper of Kestrel Bay is out of a screen's reach.
export async function beyondTheScreen(job, address) {
  const browser = await openBrowser({ width: 1280, height: 800 });
  const { page } = browser;
  try {
    await page.route('**/api/colours', async (route) => {
      const answer = await route.fetch();
      const { colours } = await answer.json();
      await route.fulfill({ response: answer, json: { colours: colours.map((one) => ({ ...one, outside: true })) } });
    });
    await page.goto(address + at('fill', 'loss 1'));
    await page.locator('ol.drawer .strip').first().waitFor();
    await page.locator('.large .beyond').waitFor();
    job.check.holds('A colour beyond the screen', await page.locator('ol.drawer .strip').first().innerText(), 'this screen cannot show');
    job.check.that('… is hatched', (await page.locator('.filled-loss pattern').count()) === 1);
    if (job.folder) await page.screenshot({ path: `${job.folder}/23-beyond-the-screen.png` });
  } finally {
    await browser.close();
  }
}

const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];

/// Told, not judged: a timed test says nothing on a busy machine. The size is judged.
export async function measured(job, address, gzip) {
  const browser = await openBrowser({ width: 1280, height: 800 });
  const { page } = browser;
  try {
    await page.goto(address);
    await page.locator('.slip').first().waitFor();
    const paint = await page.evaluate(() =>
      performance.getEntriesByType('paint').find((one) => one.name === 'first-contentful-paint')?.startTime,
    );
    console.log(`first paint: ${paint?.toFixed(0)} ms`);
    const sizes = await Promise.all(
      ['', 'bench.js', 'bench.css'].map(async (name) => gzip(Buffer.from(await (await fetch(address + name)).arrayBuffer()), { level: 9 }).length),
    );
    const whole = sizes.reduce((sum, one) => sum + one, 0);
    console.log(`page, compressed: ${(whole / 1000).toFixed(1)} kB`);
    job.check.that('The page is under 500 kB compressed', whole < 500000, whole);
    await page.goto(address + at('fill', 'loss 1'));
    await page.locator('ol.drawer .strip').first().waitFor();
    await page.waitForTimeout(500);
    const times = [];
    for (let i = 0; i < 21; ++i)
      times.push(
        await page.evaluate(
          (turn) =>
            new Promise((done) => {
              const lamps = [...document.querySelectorAll('.condition-row fieldset:first-child input[type=radio]')];
              const next = lamps[(lamps.findIndex((one) => one.checked) + 1 + (turn % 2)) % lamps.length];
              const drawer = document.querySelector('ol.drawer');
              const from = performance.now();
              new MutationObserver((_, watch) => {
                watch.disconnect();
                requestAnimationFrame(() => done(performance.now() - from));
              }).observe(drawer, { subtree: true, characterData: true, childList: true });
              next.click();
            }),
          i,
        ).then(async (ms) => {
          await page.waitForTimeout(120);
          return ms;
        }),
      );
    console.log(`lamp switched, strips drawn again: median ${median(times.slice(1)).toFixed(0)} ms of ${times.length - 1}`);
  } finally {
    await browser.close();
  }
}
