// The figures of this folder's tests that are called computed independently: the reflectance itself
// brought to 1 nm by four-point Lagrange (the program folds that into weights), sums over the CIE
// tables of reference-data, the difference formulas as their papers print them, in degrees, and the
// index of metamerism by a projection written out.
//   node tests/colour/computed.mjs
import {readFileSync} from 'fs';
import {dirname, join} from 'path';
import {fileURLToPath} from 'url';
import {done, figure, test_file} from '../computed.mjs';

const tables = join(dirname(fileURLToPath(import.meta.url)), '../../reference-data');
function table(name) {
  const [head, ...rows] = readFileSync(join(tables, name), 'utf8').trim().split('\n');
  const columns = {}, names = head.split(',');
  for (const n of names) columns[n] = [];
  for (const row of rows) row.split(',').forEach((v, i) => columns[names[i]].push(v === '' ? NaN : Number(v)));
  return columns;
}
const observers = table('cie-observers-1nm.csv');
const wide = table('cie-lights-300-780.csv'), narrow = table('cie-lights-380-780.csv');

/// The lamp, straight between its tabulated wavelengths, nothing beyond 780 nm.
function power(light, nm) {
  const of = light in wide ? wide : narrow;
  const at = of.nm.findIndex(x => x >= nm);
  if (at < 0 || nm < of.nm[0]) return 0;
  if (of.nm[at] === nm) return of[light][at];
  const [x0, x1, y0, y1] = [of.nm[at - 1], of.nm[at], of[light][at - 1], of[light][at]];
  return y0 + (y1 - y0) * (nm - x0) / (x1 - x0);
}

/// Four-point Lagrange from 400-700 nm by 10 nm, as ASTM E2022 has it: the first and the last interval
/// by three points; the ends held.
function at_1nm(R, nm) {
  const x = Math.min(700, Math.max(400, nm)), place = (x - 400) / 10;
  const end = Math.min(Math.floor(place) + 3, R.length);
  const first = Math.min(Math.max(Math.floor(place) - 1, 0), R.length - 3);
  let sum = 0;
  for (let i = first; i < end; ++i) {
    let w = 1;
    for (let j = first; j < end; ++j) if (j !== i) w *= (place - j) / (i - j);
    sum += w * R[i];
  }
  return sum;
}
function xyz(R, light, degrees, value = nm => at_1nm(R, nm)) {
  const sum = [0, 0, 0];
  let Y = 0;
  observers.nm.forEach((nm, i) => {
    const p = power(light, nm);
    ['x', 'y', 'z'].forEach((c, k) => sum[k] += p * observers[c + degrees][i] * value(nm));
    Y += p * observers['y' + degrees][i];
  });
  return sum.map(v => 100 * v / Y);
}
const white = (light, degrees) => xyz(null, light, degrees, () => 1);
function lab_of(XYZ, of) {
  const f = XYZ.map((v, i) => {
    const t = v / of[i];
    return t > (6 / 29) ** 3 ? Math.cbrt(t) : t * (29 / 6) ** 2 / 3 + 4 / 29;
  });
  return [116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])];
}
const lab = (R, light, degrees) => lab_of(xyz(R, light, degrees), white(light, degrees));

const rad = d => d * Math.PI / 180;
const hue = (a, b) => a === 0 && b === 0 ? 0 : (Math.atan2(b, a) * 180 / Math.PI + 360) % 360;
function de00([L1, a1, b1], [L2, a2, b2]) {
  const Cm = (Math.hypot(a1, b1) + Math.hypot(a2, b2)) / 2;
  const G = 0.5 * (1 - Math.sqrt(Cm ** 7 / (Cm ** 7 + 25 ** 7)));
  const A1 = (1 + G) * a1, A2 = (1 + G) * a2;
  const C1 = Math.hypot(A1, b1), C2 = Math.hypot(A2, b2), h1 = hue(A1, b1), h2 = hue(A2, b2);
  let dh = h2 - h1;
  if (C1 * C2 === 0) dh = 0;
  else if (dh > 180 + 1e-9) dh -= 360;
  else if (dh < -180 - 1e-9) dh += 360;
  let hm = h1 + h2;
  if (C1 * C2 !== 0)
    hm = Math.abs(h1 - h2) <= 180 + 1e-9 ? hm / 2 : hm < 360 ? (hm + 360) / 2 : (hm - 360) / 2;
  const dL = L2 - L1, dC = C2 - C1, dH = 2 * Math.sqrt(C1 * C2) * Math.sin(rad(dh / 2));
  const Lm = (L1 + L2) / 2, C = (C1 + C2) / 2;
  const T = 1 - 0.17 * Math.cos(rad(hm - 30)) + 0.24 * Math.cos(rad(2 * hm)) +
            0.32 * Math.cos(rad(3 * hm + 6)) - 0.2 * Math.cos(rad(4 * hm - 63));
  const turn = 30 * Math.exp(-(((hm - 275) / 25) ** 2));
  const RC = 2 * Math.sqrt(C ** 7 / (C ** 7 + 25 ** 7));
  const SL = 1 + 0.015 * (Lm - 50) ** 2 / Math.sqrt(20 + (Lm - 50) ** 2);
  const l = dL / SL, c = dC / (1 + 0.045 * C), h = dH / (1 + 0.015 * C * T);
  return Math.sqrt(l * l + c * c + h * h - Math.sin(rad(2 * turn)) * RC * c * h);
}
const de_ab = (p, q) => Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
function de94(p, q) {
  const C1 = Math.hypot(p[1], p[2]), C2 = Math.hypot(q[1], q[2]), dC = C2 - C1;
  const dH2 = (p[1] - q[1]) ** 2 + (p[2] - q[2]) ** 2 - dC * dC;
  return Math.sqrt((q[0] - p[0]) ** 2 + (dC / (1 + 0.045 * C1)) ** 2 +
                   Math.max(0, dH2) / (1 + 0.015 * C1) ** 2);
}

// ---- weights_test.cpp -----------------------------------------------------------------------------

const weights_test = test_file(import.meta.url, 'weights_test.cpp');
const numbers = text => text.match(/-?\d+\.\d+/g);
const astm = numbers(/astm_reflectance\{([^}]*)\}/.exec(weights_test.text)[1]).map(Number);
for (const row of weights_test.text.matchAll(/AstmRow\{"([^"]+)", Observer::deg(\d+),\s*([^}]*)\}/g)) {
  const printed = numbers(row[3]), light = row[1], degrees = Number(row[2]);
  xyz(astm, light, degrees).forEach((v, i) => figure(weights_test, printed[i], v, 2e-5));
  lab(astm, light, degrees).forEach((v, i) => figure(weights_test, printed[i + 3], v, 1e-4));
}

// ---- difference_test.cpp, sharma_pairs.hpp --------------------------------------------------------

const difference_test = test_file(import.meta.url, 'difference_test.cpp');
const step = (at, by) => de00(at, at.map((v, i) => v + by[i]));
figure(difference_test, '0.648', step([86, 2, 14], [1, 0, 0]), 5e-4);
figure(difference_test, '1.250', step([86, 2, 14], [0, 1, 0]), 5e-4);
figure(difference_test, '0.614', step([86, 2, 14], [0, 0, 1]), 5e-4);
figure(difference_test, '0.832', step([92, 0, 4], [0, 0, 1]), 5e-4);
figure(difference_test, '0.769', step([70, 8, 24], [1, 0, 0]), 5e-4);

const sharma = test_file(import.meta.url, 'sharma_pairs.hpp');
for (const row of sharma.text.matchAll(/\{\{([^}]+)\}, \{([^}]+)\}, ([^}]+)\}/g)) {
  const [one, two, printed] = [numbers(row[1]).map(Number), numbers(row[2]).map(Number), numbers(row[3])];
  figure(sharma, printed[0], de00(one, two), 5.1e-5);
  figure(sharma, printed[1], de00(one, two), 5.1e-9);
  figure(sharma, printed[2], de_ab(one, two), 5.1e-5);
  figure(sharma, printed[3], de94(one, two), 5.1e-5);
}

// ---- white_test.cpp: sums at 5 nm, 380-780 --------------------------------------------------------

const white_test = test_file(import.meta.url, 'white_test.cpp');
function white_at_5nm(light, degrees) {
  const sum = [0, 0, 0];
  observers.nm.forEach((nm, i) => {
    if (nm < 380 || nm > 780 || nm % 5) return;
    ['x', 'y', 'z'].forEach((c, k) => sum[k] += power(light, nm) * observers[c + degrees][i]);
  });
  return sum.map(v => 100 * v / sum[1]);
}
for (const row of white_test.text.matchAll(/WhiteRow\{"([^"]+)", ([^}]*)\}/g)) {
  const printed = numbers(row[2]), two = white_at_5nm(row[1], 2), ten = white_at_5nm(row[1], 10);
  [two[0], two[2], ten[0], ten[2]].forEach((v, i) => figure(white_test, printed[i], v, 0.025));
}

// ---- change_test.cpp: ISO 105-A05 -----------------------------------------------------------------

const change_test = test_file(import.meta.url, 'change_test.cpp');
function grey_scale([L1, a1, b1], [L2, a2, b2]) {
  const C1 = Math.hypot(a1, b1), C2 = Math.hypot(a2, b2), CM = (C1 + C2) / 2;
  const h1 = hue(a1, b1), h2 = hue(a2, b2);
  let hM = (h1 + h2) / 2;
  if (Math.abs(h1 - h2) > 180) hM += hM < 180 ? 180 : -180;
  const away = Math.abs(hM - 280), x = ((away <= 180 ? away : 360 - away) / 30) ** 2;
  const dC = C2 - C1, turn = ((h2 - h1 + 540) % 360) - 180;
  const dH = 2 * Math.sqrt(C1 * C2) * Math.sin(rad(turn / 2));
  const D = dC * CM * Math.exp(-x) / 100;
  const F = Math.hypot(L2 - L1, (dC - D) / (1 + (20 * CM / 1000) ** 2),
                       (dH - D) / (1 + (10 * CM / 1000) ** 2));
  return [F, F <= 3.4 ? 5 - F / 1.7 : Math.max(1, 5 - Math.log2(F / 0.85))];
}
for (const [one, two, deF, rating, within] of [
       [[88, 1, 12], [87, 1.5, 14], '2.175529', '3.7203', 5.1e-7],
       [[88, 1, 12], [84.6, 1, 12], '3.4', '3.0', 5.1e-7],
       [[75, 6, 22], [70, 8, 26], '6.160946', '2.1424', 5.1e-7],
       [[33.4921, 18.2176, 18.7574], [34.1239, 18.9849, 19.0859], '0.921890', '4.4577', 5.1e-5],
       [[60, .5, .5], [46.4, .5, .5], '13.6', '1.0', 5.1e-7]]) {
  const [F, R] = grey_scale(one, two);
  figure(change_test, deF, F, within);
  figure(change_test, rating, R, 5.1e-5);
}

// ---- metamerism_test.cpp --------------------------------------------------------------------------

const metamerism_test = test_file(import.meta.url, 'metamerism_test.cpp');
const spectrum = name =>
    numbers(new RegExp(`double> ${name}\\{([^}]*)\\}`).exec(metamerism_test.text)[1]).map(Number);
const standard = spectrum('standard'), sample = spectrum('sample');
/// Weights a band: what a reflectance of 1 there and 0 elsewhere gives.
function band_weights(light) {
  return standard.map((_, i) => xyz(standard.map((__, j) => i === j ? 1 : 0), light, 10));
}
/// Gram and Schmidt on the three columns: the projection onto the fundamental.
function with_fundamental(light) {
  const W = band_weights(light), axes = [];
  const dot = (p, q) => p.reduce((s, v, i) => s + v * q[i], 0);
  for (let k = 0; k < 3; ++k) {
    let v = W.map(row => row[k]);
    for (let twice = 0; twice < 2; ++twice)
      for (const a of axes) {
        const d = dot(a, v);
        v = v.map((x, i) => x - d * a[i]);
      }
    const n = Math.sqrt(dot(v, v));
    axes.push(v.map(x => x / n));
  }
  const away = standard.map((v, i) => v - sample[i]), moved = sample.slice();
  for (const a of axes) {
    const d = dot(a, away);
    a.forEach((x, i) => moved[i] += d * x);
  }
  return moved;
}
lab(standard, 'D65', 10).forEach(
    (v, i) => figure(metamerism_test, ['39.0904', '-21.3154', '22.6420'][i], v, 2e-4));
const seen_A = lab(standard, 'A', 10), moved_A = lab(with_fundamental('D65'), 'A', 10);
figure(metamerism_test, '3.538540471', de_ab(seen_A, moved_A), 2e-4);
figure(metamerism_test, '2.333169', de00(seen_A, moved_A), 2e-4);
figure(metamerism_test, '2.9790', de_ab(lab(standard, 'D65', 10), lab(sample, 'D65', 10)), 1e-4);
figure(metamerism_test, '1.3370', de00(lab(standard, 'D65', 10), lab(sample, 'D65', 10)), 1e-4);
const s65 = xyz(standard, 'D65', 10), t65 = xyz(sample, 'D65', 10);
for (const row of metamerism_test.text.matchAll(/UnderRow\{"([^"]+)", ([^}]*)\}/g)) {
  const printed = numbers(row[2]), light = row[1];
  const one = lab(standard, light, 10), two = lab(sample, light, 10);
  const corrected = lab_of(xyz(sample, light, 10).map((v, i) => v * s65[i] / t65[i]), white(light, 10));
  figure(metamerism_test, printed[0], de_ab(one, two), 2e-4);
  figure(metamerism_test, printed[1], de00(one, two), 2e-4);
  figure(metamerism_test, printed[2], de_ab(one, corrected), 2e-4);
  figure(metamerism_test, printed[3], de00(one, corrected), 2e-4);
}
done();
