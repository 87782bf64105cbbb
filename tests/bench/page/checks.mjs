// Counts what holds and what does not, and looks at views: pictures, and what a screen reader meets.
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { join } from 'node:path';

const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
export const sizes = { wide: { width: 1280, height: 800 }, tablet: { width: 820, height: 1180 } };

export function checking() {
  let passed = 0;
  let failed = 0;
  return {
    that(what, holds, found = '') {
      if (holds) ++passed;
      else {
        ++failed;
        console.log(`FAILED: ${what}${found === '' ? '' : `; found ${String(found).slice(0, 600)}`}`);
      }
      return holds;
    },
    equal(what, found, expected) {
      return this.that(`${what} is ‘${expected}’`, found === expected, `‘${found}’`);
    },
    holds(what, text, part) {
      return this.that(`${what} says ‘${part}’`, text.includes(part), text);
    },
    failed: () => failed,
    told: () => `${passed} passed, ${failed} failed`,
  };
}

/// No serious or critical finding of axe-core, and nothing that runs out of the view sideways.
export async function accessible(check, page, view) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ['violations'] }));
  const grave = found.violations.filter((one) => ['serious', 'critical'].includes(one.impact));
  check.that(
    `${view}: no serious finding of axe-core`,
    grave.length === 0,
    grave.map((one) => `${one.id}: ${one.nodes.slice(0, 3).map((n) => n.html.slice(0, 160)).join(' | ')}`).join('; '),
  );
  const [wide, seen] = await page.evaluate(() => [document.scrollingElement.scrollWidth, innerWidth]);
  check.that(`${view}: nothing runs out sideways`, wide <= seen + 1, `${wide} > ${seen}`);
}

/// Fingers need 44 px: everything that is pressed.
export async function largeEnough(check, page, view) {
  const small = await page.evaluate(() =>
    [...document.querySelectorAll('button, a.act, a.slip, .rail a, input[type=text], select, summary, label.tick, .picks label, .drop')]
      .filter((e) => e.getClientRects().length && e.closest('main, nav, aside'))
      .map((e) => [e, e.getBoundingClientRect()])
      .filter(([, r]) => r.width > 0 && (r.height < 43.5 || r.width < 43.5))
      .map(([e, r]) => `${e.tagName} ${e.textContent.trim().slice(0, 30)} ${Math.round(r.width)}x${Math.round(r.height)}`),
  );
  check.that(`${view}: all targets are 44 px or more`, small.length === 0, small.join('; '));
}

export async function pictured(page, folder, name) {
  if (!folder) return;
  for (const [size, viewport] of Object.entries(sizes)) {
    await page.setViewportSize(viewport);
    await page.evaluate(() => scrollTo(0, 0));
    await page.waitForTimeout(250);
    await page.screenshot({ path: join(folder, `${name}-${size}.png`), fullPage: true });
  }
  await page.setViewportSize(sizes.wide);
}
