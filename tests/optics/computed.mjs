// The figures of this folder's tests that are called computed independently: Kubelka's closed form
// with hyperbolic functions (1948), reflections between two plies added up one by one (1954), ISO
// 9416's s and k found by bisection, Saunderson's correction and its inverse by bisection.
//   node tests/optics/computed.mjs
import {done, figure, test_file} from '../computed.mjs';

const layer_test = test_file(import.meta.url, 'layer_test.cpp');
const laws_test = test_file(import.meta.url, 'laws_test.cpp');
const inversion_test = test_file(import.meta.url, 'inversion_test.cpp');
const palette_test = test_file(import.meta.url, '../materials/palette_test.cpp');
const decimals = n => 0.51 * 10 ** -n;

function layer(K, S) {
  if (S === 0) return {R: 0, T: Math.exp(-K)};
  if (K === 0) return {R: S / (1 + S), T: 1 / (1 + S)};
  const a = 1 + K / S, b = Math.sqrt(a * a - 1), x = b * S;
  const D = a * Math.sinh(x) + b * Math.cosh(x);
  return {R: Math.sinh(x) / D, T: b / D};
}
/// Light that goes to and fro between what lies in front and what lies behind, pass by pass.
function passes(there, back_front, back_behind, out) {
  let sum = 0;
  for (let light = there; light > 1e-18; light *= back_front * back_behind) sum += light * out;
  return sum;
}
const over = (slab, Rg) => slab.R + passes(slab.T, slab.R, Rg, Rg * slab.T);
const endless = (K, S) => {
  const a = 1 + K / S;
  return a - Math.sqrt(a * a - 1);
};
function bisected(f, low, high) {
  for (let i = 0; i < 200; ++i) {
    const middle = (low + high) / 2;
    if (f(middle) < 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

for (const [K, S, R0, T, Rinf, over085, over1] of [
       [0.1, 1, '0.461033623277', '0.445284213264', '0.641742430504', '0.738176181314', '0.828919337759'],
       [1, 1, '0.260146717028', '0.164588718533', '0.267949192431', '0.289709895637', '0.296761336294'],
       [0.5, 0.05, '0.030338784487', '0.577466174876', '0.045548849897', '0.321288902122', '0.374239497221'],
       [0.0005, 10, '0.908774391525', '0.090726149496', '0.990049875001', '0.939522808214', '0.999003816574']]) {
  const slab = layer(K, S);
  figure(layer_test, R0, slab.R, decimals(12));
  figure(layer_test, T, slab.T, decimals(12));
  figure(layer_test, Rinf, endless(K, S), decimals(12));
  figure(layer_test, over085, over(slab, 0.85), decimals(12));
  figure(layer_test, over1, over(slab, 1), decimals(12));
}

figure(laws_test, '0.869565217391', over(layer(0, 1), 0.85), decimals(12));
figure(laws_test, '0.367879441171', layer(1, 0).T, decimals(12));
figure(laws_test, '0.135335283237', over(layer(1, 0), 1), decimals(12));
figure(laws_test, '0.044614800884', layer(0.5, 0.075).R, decimals(12));
figure(laws_test, '0.563823435926', layer(0.5, 0.075).T, decimals(12));
figure(laws_test, '0.980224771051', over(layer(0.01, 0.2), 1), decimals(12));

const one = layer(0.1, 0.6), two = layer(0.3, 0.4);
figure(laws_test, '0.344241511502', one.R, decimals(12));
figure(laws_test, '0.561490894616', one.T, decimals(12));
figure(laws_test, '0.221281330536', two.R, decimals(12));
figure(laws_test, '0.523909124150', two.T, decimals(12));
figure(laws_test, '0.419757712285', one.R + passes(one.T, one.R, two.R, two.R * one.T), decimals(12));
figure(laws_test, '0.323560003943', two.R + passes(two.T, two.R, one.R, one.R * two.T), decimals(12));
figure(laws_test, '0.318426059422', passes(one.T, one.R, two.R, two.T), decimals(12));
figure(laws_test, '0.467361184150', one.R + passes(one.T, one.R, one.R, one.R * one.T), decimals(12));
figure(laws_test, '0.357654926944', passes(one.T, one.R, one.R, one.T), decimals(12));

for (const [R0, Rinf, grammage, s, k, T] of [
       [0.70, 0.85, 60, '42.409785', '0.561306', '0.267339837'],
       [0.80, 0.88, 80, '57.559814', '0.470944', '0.164039906'],
       [0.75, 0.80, 80, '51.563833', '1.289096', '0.158113883'],
       [0.30, 0.70, 12, '37.046637', '2.381570', '0.671884344'],
       [0.125, 0.80, 5, '28.683787', '0.717095', '0.871421253'],
       [0.056, 0.80, 2, '29.706841', '0.742671', '0.942515782']]) {
  const ratio = (1 - Rinf) ** 2 / (2 * Rinf), kg = grammage / 1000;
  const S = bisected(x => layer(ratio * x, x).R - R0, 1e-9, 100);
  figure(laws_test, s, S / kg, decimals(6));
  figure(laws_test, k, ratio * S / kg, decimals(6));
  figure(laws_test, T, layer(ratio * S, S).T, decimals(9));
}

const outward = (k1, ke, k2, R) => k1 + (1 - ke) * (1 - k2) * R / (1 - k2 * R);
const inward = (k1, ke, k2, read) => bisected(R => outward(k1, ke, k2, R) - read, 0, 1);
const R = [0, 0.1, 0.5, 0.9, 1];
for (const [k1, k2, read, inside] of [
       [0.04, 0.60, ['0.04', '0.080851064', '0.314285714', '0.791304348', '1'], '0.696969697'],
       [0.04, 0.40, ['0.04', '0.1', '0.4', '0.85', '1'], '0.605263158'],
       [0, 0.60, ['0', '0.042553191', '0.285714286', '0.782608696', '1'], '0.714285714']]) {
  R.forEach((r, i) => figure(laws_test, read[i], outward(k1, k1, k2, r), decimals(9)));
  figure(laws_test, inside, inward(k1, k1, k2, 0.5), decimals(9));
}

const sheet = layer(0.05, 0.6);
figure(inversion_test, '0.359120792', sheet.R, decimals(9));
figure(inversion_test, '0.818093061', over(sheet, 0.89), decimals(9));
figure(inversion_test, '0.788401738', over(sheet, 0.85), decimals(9));
figure(inversion_test, '1.083333333', 1 + 0.05 / 0.6, decimals(9));
figure(inversion_test, '0.666666667', endless(0.05, 0.6), decimals(9));

figure(palette_test, '0.314285714', outward(0.04, 0.04, 0.6, 0.5), decimals(9));
figure(palette_test, '0.080851064', outward(0.04, 0.04, 0.6, 0.1), decimals(9));
figure(palette_test, '0.85', outward(0.04, 0.04, 0.4, 0.9), decimals(9));
figure(palette_test, '0.285714286', outward(0, 0, 0.6, 0.5), decimals(9));
figure(palette_test, '0.696969697', inward(0.04, 0.04, 0.6, 0.5), decimals(9));
figure(palette_test, '0.605263158', inward(0.04, 0.04, 0.4, 0.5), decimals(9));
figure(palette_test, '0.714285714', inward(0, 0, 0.6, 0.5), decimals(9));
done();
