// What a person does on the page, in her terms: fields by their labels, buttons by their words.

export const go = async (page, view) => {
  await page.evaluate((hash) => {
    location.hash = hash;
  }, view);
  await page.locator('main h1').waitFor();
  await page.waitForTimeout(60);
};
export const press = (scope, words, nth = 0) => scope.getByRole('button', { name: words }).nth(nth).click();
export const fill = (scope, label, text, nth = 0) => scope.getByLabel(label).nth(nth).fill(text);
export const choose = (scope, label, value, nth = 0) => scope.getByLabel(label).nth(nth).selectOption(value);
export const card = (page, title) => page.locator('section.card', { has: page.getByRole('heading', { name: title }) }).first();
export const bring = async (scope, words, files) =>
  scope.locator('label.drop', { hasText: words }).first().locator('input').setInputFiles(files);
export const said = async (page, words) => page.locator('.said', { hasText: words }).waitFor({ timeout: 60000 });

export async function open(scope, title) {
  const fold = scope.locator('details', { has: scope.page().locator('summary', { hasText: title }) }).first();
  if (!(await fold.evaluate((e) => e.open))) await fold.locator('summary').first().click();
  return fold;
}
