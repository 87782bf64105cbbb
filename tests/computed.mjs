// For the scripts beside the tests that compute expected figures by another way than the program:
// each figure that a test prints is computed again and has to be there.
import {readFileSync} from 'fs';
import {dirname, join} from 'path';
import {fileURLToPath} from 'url';

let wrong = 0, seen = 0;

/// The lines of a test of this folder in which figures are looked for.
export function test_file(script, name) {
  return {name, text: readFileSync(join(dirname(fileURLToPath(script)), name), 'utf8')};
}

/// `printed` stands in the test, and the figure computed here differs from it by `within` at most.
export function figure(test, printed, computed, within) {
  ++seen;
  const there = new RegExp(`(?<![\\d.])${printed.replace(/[.+]/g, '\\$&')}(?![\\d.])`).test(test.text);
  const off = Math.abs(computed - Number(printed));
  if (there && off <= within) return;
  ++wrong;
  console.error(`${test.name}: ${printed} ${there ? `is ${computed} here, off by ${off}` : 'is not in the test'}`);
}

export function done() {
  console.log(`${seen} figures, ${wrong} of them wrong`);
  process.exit(wrong ? 1 : 0);
}
