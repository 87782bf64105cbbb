// node same_figure.mjs KEPT DRAWN: the same drawing, its figures within a tenth of a point and a bit, which
// is how two builds may round the same value.
import fs from 'node:fs';
const number = /-?\d+\.?\d*/g;
const [kept, drawn] = process.argv.slice(2).map((file) => fs.readFileSync(file, 'utf8'));
const words = (text) => text.replace(number, '#');
const figures = (text) => (text.match(number) ?? []).map(Number);
const before = figures(kept);
const now = figures(drawn);
const off = before.findIndex((value, i) => !(Math.abs(value - now[i]) <= 0.11));
if (words(kept) !== words(drawn) || before.length !== now.length || off >= 0) {
  console.error(`the kept figure is not what is drawn now${off >= 0 ? `: ${before[off]} is ${now[off]}` : ''}`);
  process.exit(1);
}
