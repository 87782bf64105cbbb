#include "mendtone/spectral/resample.hpp"

#include <algorithm>
#include <cmath>

namespace mendtone {
namespace {

using Matrix = std::vector<double>;

/// The interval [nm[i], nm[i+1]] that holds x; the last one for x at the end.
std::size_t interval_of(std::span<const double> nm, double x) {
  const auto after = std::upper_bound(nm.begin(), nm.end(), x);
  const auto index = static_cast<std::size_t>(std::distance(nm.begin(), after));
  return std::clamp<std::size_t>(index, 1, nm.size() - 1) - 1;
}

void linear_row(std::span<const double> nm, double x, double* row) {
  const std::size_t i = interval_of(nm, x);
  const double t = (x - nm[i]) / (nm[i + 1] - nm[i]);
  row[i] = 1 - t;
  row[i + 1] = t;
}

/// Four points about the interval; three in the first and the last one, as ASTM E2022 has it.
void lagrange4_row(std::span<const double> nm, double x, double* row) {
  const std::size_t i = interval_of(nm, x);
  const std::size_t first = i > 0 ? i - 1 : 0;
  const std::size_t last = std::min(i + 2, nm.size() - 1);
  for (std::size_t j = first; j <= last; ++j) {
    double weight = 1;
    for (std::size_t k = first; k <= last; ++k)
      if (k != j) weight *= (x - nm[k]) / (nm[j] - nm[k]);
    row[j] = weight;
  }
}

/// Second derivatives of the natural spline as linear functions of the values: M = D y.
/// Row i of D, from the tridiagonal system solved once for each unit vector.
Matrix spline_curvatures(std::span<const double> nm) {
  const std::size_t n = nm.size();
  Matrix D(n * n, 0.0);
  if (n < 3) return D;
  const std::size_t m = n - 2;
  std::vector<double> diagonal(m), upper(m), lower(m);
  Matrix right(m * n, 0.0);
  for (std::size_t i = 0; i < m; ++i) {
    const double h0 = nm[i + 1] - nm[i];
    const double h1 = nm[i + 2] - nm[i + 1];
    lower[i] = h0 / 6;
    diagonal[i] = (h0 + h1) / 3;
    upper[i] = h1 / 6;
    right[i * n + i] = 1 / h0;
    right[i * n + i + 1] = -1 / h0 - 1 / h1;
    right[i * n + i + 2] = 1 / h1;
  }
  for (std::size_t i = 1; i < m; ++i) {
    const double factor = lower[i] / diagonal[i - 1];
    diagonal[i] -= factor * upper[i - 1];
    for (std::size_t j = 0; j < n; ++j) right[i * n + j] -= factor * right[(i - 1) * n + j];
  }
  for (std::size_t i = m; i-- > 0;)
    for (std::size_t j = 0; j < n; ++j) {
      const double next = i + 1 < m ? upper[i] * D[(i + 2) * n + j] : 0;
      D[(i + 1) * n + j] = (right[i * n + j] - next) / diagonal[i];
    }
  return D;
}

void spline_row(std::span<const double> nm, const Matrix& D, double x, double* row) {
  const std::size_t n = nm.size();
  const std::size_t i = interval_of(nm, x);
  const double h = nm[i + 1] - nm[i];
  const double A = (nm[i + 1] - x) / h;
  const double B = (x - nm[i]) / h;
  const double c0 = (A * A * A - A) * h * h / 6;
  const double c1 = (B * B * B - B) * h * h / 6;
  for (std::size_t j = 0; j < n; ++j) row[j] = c0 * D[i * n + j] + c1 * D[(i + 1) * n + j];
  row[i] += A;
  row[i + 1] += B;
}

/// Sprague's two extra points at each end, CIE 167:2005 Table 1; they weigh six end values.
constexpr double sprague_ends[4][6] = {{884, -1960, 3033, -2648, 1080, -180},
                                       {508, -540, 488, -367, 144, -24},
                                       {-24, 144, -367, 488, -540, 508},
                                       {-180, 1080, -2648, 3033, -1960, 884}};

/// The coefficients a1…a5 of CIE 167:2005 equation (1), for six neighbours, over 24.
constexpr double sprague_polynomial[5][6] = {{2, -16, 0, 16, -2, 0},
                                             {-1, 16, -30, 16, -1, 0},
                                             {-9, 39, -70, 66, -33, 7},
                                             {13, -64, 126, -124, 61, -12},
                                             {-5, 25, -50, 50, -25, 5}};

/// Adds `weight` times the (possibly extrapolated) value number k, k from -2 to n+1.
void add_sprague_point(std::size_t n, long k, double weight, double* row) {
  const long count = static_cast<long>(n);
  if (k >= 0 && k < count) {
    row[k] += weight;
    return;
  }
  const bool low = k < 0;
  const auto& end = sprague_ends[low ? k + 2 : 2 + k - count];
  const std::size_t first = low ? 0 : n - 6;
  for (std::size_t j = 0; j < 6; ++j) row[first + j] += weight * end[j] / 209;
}

void sprague_row(std::span<const double> nm, double x, double* row) {
  const std::size_t n = nm.size();
  const std::size_t i = interval_of(nm, x);
  const double X = (x - nm[i]) / (nm[i + 1] - nm[i]);
  double weight[6] = {0, 0, 1, 0, 0, 0};
  double power = 1;
  for (const auto& coefficient : sprague_polynomial) {
    power *= X;
    for (int j = 0; j < 6; ++j) weight[j] += power * coefficient[j] / 24;
  }
  for (long j = 0; j < 6; ++j) add_sprague_point(n, static_cast<long>(i) + j - 2, weight[j], row);
}

Result<void> check(const WavelengthGrid& from, Interpolation method) {
  if (from.size() < 2) return bad_input("nothing to interpolate: fewer than two bands");
  if (method == Interpolation::sprague && (!from.step() || from.size() < 6))
    return bad_input(
        "Sprague interpolation needs equal steps and at least six bands (CIE 167), found " +
        std::to_string(from.size()) + " bands" + (from.step() ? "" : " with unequal steps"));
  if (method == Interpolation::lagrange4 && from.size() < 4)
    return bad_input("four-point interpolation needs at least four bands, found " +
                     std::to_string(from.size()));
  return {};
}

bool outside(const WavelengthGrid& grid, double nm) {
  return nm < grid.first() - 1e-9 || nm > grid.last() + 1e-9;
}

}  // namespace

Result<std::vector<double>> interpolation_matrix(const WavelengthGrid& from,
                                                 const WavelengthGrid& to, Interpolation method) {
  MENDTONE_TRY(check(from, method));
  const std::size_t n = from.size();
  Matrix matrix(to.size() * n, 0.0);
  const Matrix D = method == Interpolation::cubic_spline ? spline_curvatures(from.nm()) : Matrix{};
  for (std::size_t i = 0; i < to.size(); ++i) {
    double* row = matrix.data() + i * n;
    const double x = std::clamp(to.nm()[i], from.first(), from.last());
    switch (method) {
      case Interpolation::sprague:
        sprague_row(from.nm(), x, row);
        break;
      case Interpolation::cubic_spline:
        spline_row(from.nm(), D, x, row);
        break;
      case Interpolation::lagrange4:
        lagrange4_row(from.nm(), x, row);
        break;
      case Interpolation::linear:
        linear_row(from.nm(), x, row);
        break;
    }
  }
  return matrix;
}

Result<Resampled> resample(const Spectrum& measured, const WavelengthGrid& to,
                           Interpolation method) {
  auto matrix = MENDTONE_TRY(interpolation_matrix(measured.grid, to, method));
  Resampled result{{to, std::vector<double>(to.size(), 0.0)}, 0};
  const std::size_t n = measured.grid.size();
  for (std::size_t i = 0; i < to.size(); ++i) {
    for (std::size_t j = 0; j < n; ++j)
      result.spectrum.value[i] += (matrix)[i * n + j] * measured.value[j];
    if (outside(measured.grid, to.nm()[i])) ++result.bands_extrapolated;
  }
  return result;
}

Interpolation best_interpolation(const WavelengthGrid& grid) {
  return grid.step() && grid.size() >= 6 ? Interpolation::sprague : Interpolation::cubic_spline;
}

}  // namespace mendtone
