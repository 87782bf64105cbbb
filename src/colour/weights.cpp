#include "mendtone/colour/weights.hpp"

#include <cassert>

#include "mendtone/base/numbers.hpp"
#include "mendtone/base/table.hpp"

namespace mendtone {
namespace {

/// Power times colour matching function at 1 nm, scaled so that the sum of Y is 100.
struct FineWeights {
  WavelengthGrid grid;
  std::vector<double> x, y, z;
};

Result<FineWeights> fine_weights(const Light& light, Observer observer) {
  const NumberTable table = reference_numbers("cie-observers-1nm.csv");
  const bool two = observer == Observer::deg2;
  FineWeights fine{*WavelengthGrid::from_nm(*table.find("nm")), *table.find(two ? "x2" : "x10"),
                   *table.find(two ? "y2" : "y10"), *table.find(two ? "z2" : "z10")};
  double Y = 0;
  for (std::size_t i = 0; i < fine.grid.size(); ++i) {
    const double power = power_at(light, fine.grid.nm()[i]);
    fine.x[i] *= power;
    fine.y[i] *= power;
    fine.z[i] *= power;
    Y += fine.y[i];
  }
  if (!(Y > 0)) return bad_input("the light '" + light.name + "' has no power in 360-830 nm");
  for (auto* w : {&fine.x, &fine.y, &fine.z})
    for (double& value : *w) value *= 100 / Y;
  return fine;
}

std::vector<double> folded(const std::vector<double>& fine, const std::vector<double>& matrix,
                           std::size_t bands) {
  std::vector<double> weights(bands, 0.0);
  for (std::size_t i = 0; i < fine.size(); ++i)
    for (std::size_t j = 0; j < bands; ++j) weights[j] += fine[i] * matrix[i * bands + j];
  return weights;
}

double sum(const std::vector<double>& values) {
  double total = 0;
  for (double value : values) total += value;
  return total;
}

}  // namespace

Xyz TristimulusWeights::xyz(std::span<const double> R) const {
  assert(R.size() == wx.size());
  Xyz total;
  for (std::size_t i = 0; i < R.size(); ++i) {
    total.X += wx[i] * R[i];
    total.Y += wy[i] * R[i];
    total.Z += wz[i] * R[i];
  }
  return total;
}

Lab TristimulusWeights::lab(std::span<const double> R) const {
  return xyz_to_lab(xyz(R), white);
}

Result<TristimulusWeights> tristimulus_weights(const WavelengthGrid& grid, const Light& light,
                                               Observer observer, Interpolation interpolation) {
  if (grid.size() < 2 || grid.first() > 400 || grid.last() < 680)
    return bad_input("a tone needs bands from 400 nm or below to 680 nm or above, found " +
                     (grid.size() < 2
                          ? std::string("none")
                          : shortest(grid.first()) + "-" + shortest(grid.last()) + " nm"));
  auto fine = fine_weights(light, observer);
  if (!fine) return fine.error();
  auto matrix = interpolation_matrix(grid, fine->grid, interpolation);
  if (!matrix) return matrix.error();
  TristimulusWeights weights{grid,
                             light.name,
                             observer,
                             folded(fine->x, *matrix, grid.size()),
                             folded(fine->y, *matrix, grid.size()),
                             folded(fine->z, *matrix, grid.size()),
                             {}};
  weights.white = {sum(weights.wx), sum(weights.wy), sum(weights.wz)};
  return weights;
}

}  // namespace mendtone
