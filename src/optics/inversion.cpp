#include "mendtone/optics/inversion.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace mendtone {
namespace {

double misfit(const LayerFound& found, const OverBacking& dark, const OverBacking& light) {
  const Slab slab = layer(found.KX, found.SX);
  return std::max(std::abs(over(slab, dark.Rg) - dark.R), std::abs(over(slab, light.Rg) - light.R));
}

// Without absorption 1/(1-R) = 1/(1-Rg) + SX. Gauss-Newton on the two readings.
double scattering_only(const OverBacking& dark, const OverBacking& light) {
  double S = 0;
  for (int round = 0; round < 30; ++round) {
    double top = 0, bottom = 0;
    for (const OverBacking& reading : {dark, light}) {
      const double left = (1 - reading.Rg) / (1 + S * (1 - reading.Rg));  // 1 - R
      top += left * left * (reading.R - (1 - left));
      bottom += left * left * left * left;
    }
    const double step = bottom > 0 ? top / bottom : 0;
    S = std::max(0.0, S + step);
    if (std::abs(step) < 1e-14 * (1 + S)) break;
  }
  return S;
}

// Without scattering R = T^2 Rg, T = exp(-KX): linear in T^2.
double absorption_only(const OverBacking& dark, const OverBacking& light) {
  const double T2 =
      (dark.R * dark.Rg + light.R * light.Rg) / (dark.Rg * dark.Rg + light.Rg * light.Rg);
  return -0.5 * std::log(std::clamp(T2, 1e-12, 1.0));
}

LayerFound opaque(const OverBacking& dark, const OverBacking& light) {
  const double R = std::clamp((dark.R + light.R) / 2, 0.0, 0.9999);
  const LayerCoefficients thick = opaque_layer(R);
  return {thick.KX, thick.SX, BodyKind::opaque, std::abs(dark.R - light.R) / 2};
}

}  // namespace

// R = R0 + T^2 Rg / (1 - R0 Rg) twice; eliminating T^2 leaves an equation linear in R0.
ReadThrough through_two_backings(const OverBacking& d, const OverBacking& l) {
  assert(l.Rg > d.Rg);
  const double R0 = (l.Rg * d.R - d.Rg * l.R) / (l.Rg - d.Rg + l.Rg * d.Rg * (d.R - l.R));
  return {R0, (l.R - d.R) * (1 - R0 * l.Rg) * (1 - R0 * d.Rg) / (l.Rg - d.Rg)};
}

// layer() solved for KX and SX: with A = (KX + SX) sinhc x and B = SX sinhc x,
//   B = R0 / T,  cosh x = 1/T - A,  sinh^2 x = A^2 - B^2  give
//   A = (1 + R0^2 - T^2) / 2T,  sinh^2 x = ((1-R0)^2 - T^2) ((1+R0)^2 - T^2) / 4T^2.
LayerCoefficients coefficients(double R0, double T) {
  assert(R0 >= 0 && T > 0);
  const double lost = std::max(0.0, (1 - R0 - T) * (1 - R0 + T));
  const double sinh_x = std::sqrt(lost * (1 + R0 - T) * (1 + R0 + T)) / (2 * T);
  const double x_over_sinh = sinh_x < 1e-4 ? 1 - sinh_x * sinh_x / 6 : std::asinh(sinh_x) / sinh_x;
  return {lost / (2 * T) * x_over_sinh, R0 / T * x_over_sinh};
}

LayerCoefficients opaque_layer(double R) {
  assert(R >= 0 && R < 1);
  // b SX = 400 whatever R is: far beyond what double precision lets through.
  return {400 * (1 - R) / (1 + R), 400 * 2 * R / ((1 - R) * (1 + R))};
}

LayerFound layer_from_two_backings(const OverBacking& dark, const OverBacking& light) {
  const double shows = light.R - dark.R;
  if (!(light.Rg > dark.Rg)) return {0, 0, BodyKind::impossible, std::abs(shows)};
  if (shows < -impossible_beyond) return {0, 0, BodyKind::impossible, -shows};
  if (shows < opaque_below) return opaque(dark, light);

  constexpr double rounding = 1e-12;
  const auto [R0, T2] = through_two_backings(dark, light);
  LayerFound found;
  if (!(R0 >= -rounding)) {
    found = {absorption_only(dark, light), 0, BodyKind::no_scattering, 0};
  } else if (!(T2 > 0) || R0 + std::sqrt(T2) > 1 + rounding) {
    found = {0, scattering_only(dark, light), BodyKind::no_absorption, 0};
  } else {
    const LayerCoefficients c = coefficients(std::max(R0, 0.0), std::sqrt(T2));
    return {c.KX, c.SX, BodyKind::determined, 0};
  }
  found.misfit = misfit(found, dark, light);
  if (found.misfit > impossible_beyond) found.body = BodyKind::impossible;
  return found;
}

double absorption_from(const OverBacking& reading, double SX) {
  const auto predicted = [&](double KX) { return over(layer(KX, SX), reading.Rg); };
  if (predicted(0) <= reading.R) return 0;
  double low = 0, high = 1;
  while (predicted(high) > reading.R && high < 1e6) high *= 2;
  for (int round = 0; round < 200 && high - low > 1e-14 * (1 + high); ++round) {
    const double middle = (low + high) / 2;
    (predicted(middle) > reading.R ? low : high) = middle;
  }
  return (low + high) / 2;
}

namespace {

struct Face {
  OverBacking reading;
  bool front;
};

double residual(const Face& face, double front, double back, double T2) {
  const double own = face.front ? front : back, behind = face.front ? back : front;
  return own + T2 * face.reading.Rg / (1 - behind * face.reading.Rg) - face.reading.R;
}

}  // namespace

SlabFound slab_from_both_faces(const OverBacking& front_dark, const OverBacking& front_light,
                               const OverBacking& back_dark, const OverBacking& back_light) {
  const Face faces[] = {
      {front_dark, true}, {front_light, true}, {back_dark, false}, {back_light, false}};
  SlabFound found;
  found.opaque =
      front_light.R - front_dark.R < opaque_below && back_light.R - back_dark.R < opaque_below;
  if (found.opaque) {
    found.slab = {(front_dark.R + front_light.R) / 2, (back_dark.R + back_light.R) / 2, 0};
    found.misfit =
        std::max(std::abs(front_light.R - front_dark.R), std::abs(back_light.R - back_dark.R)) / 2;
    return found;
  }
  // Four equations, three unknowns, nearly linear: Gauss-Newton from the dark readings.
  double front = front_dark.R, back = back_dark.R;
  double T2 = std::max(0.0, (front_light.R - front_dark.R + back_light.R - back_dark.R) / 2);
  for (int round = 0; round < 50; ++round) {
    double N[3][4] = {};
    for (const Face& face : faces) {
      const double Rg = face.reading.Rg;
      const double many = 1 / (1 - (face.front ? back : front) * Rg);
      const double through = T2 * Rg * Rg * many * many;
      const double J[3] = {face.front ? 1 : through, face.front ? through : 1, Rg * many};
      const double r = residual(face, front, back, T2);
      for (int i = 0; i < 3; ++i) {
        for (int j = 0; j < 3; ++j) N[i][j] += J[i] * J[j];
        N[i][3] -= J[i] * r;
      }
    }
    for (int i = 0; i < 3; ++i)  // symmetric and positive: no pivoting
      for (int j = i + 1; j < 3; ++j) {
        const double f = N[j][i] / N[i][i];
        for (int c = i; c < 4; ++c) N[j][c] -= f * N[i][c];
      }
    const double d2 = N[2][3] / N[2][2];
    const double d1 = (N[1][3] - N[1][2] * d2) / N[1][1];
    const double d0 = (N[0][3] - N[0][1] * d1 - N[0][2] * d2) / N[0][0];
    front += d0;
    back += d1;
    T2 += d2;
    if (std::abs(d0) + std::abs(d1) + std::abs(d2) < 1e-15) break;
  }
  found.slab = {front, back, std::sqrt(std::max(0.0, T2))};
  for (const Face& face : faces)
    found.misfit = std::max(found.misfit, std::abs(residual(face, front, back, T2)));
  return found;
}

}  // namespace mendtone
