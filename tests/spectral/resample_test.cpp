#include "mendtone/spectral/resample.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace mendtone::resample_test {
namespace {

Spectrum sampled(const WavelengthGrid& grid, double (*f)(double)) {
  Spectrum s{grid, {}};
  for (double nm : grid.nm()) s.value.push_back(f(nm));
  return s;
}

double worst(const Spectrum& found, double (*f)(double), double from, double to) {
  double error = 0;
  for (std::size_t i = 0; i < found.value.size(); ++i) {
    const double nm = found.grid.nm()[i];
    if (nm >= from && nm <= to) error = std::max(error, std::abs(found.value[i] - f(nm)));
  }
  return error;
}

const WavelengthGrid ten = WavelengthGrid::equal_steps(400, 10, 31);
const WavelengthGrid one = WavelengthGrid::equal_steps(400, 1, 301);

// A law of each method: what it must reproduce exactly. Sprague's outer points (CIE 167:2005) are
// exact for straight lines only, so its ends are left out.
TEST(Resample, EachMethodIsExactToItsDegree) {
  const auto quartic = [](double x) { return 1 + std::pow((x - 550) / 150, 4); };
  const auto cubic = [](double x) { return 1 + std::pow((x - 550) / 150, 3); };
  const auto straight = [](double x) { return x / 1000; };
  EXPECT_LT(worst(resample(sampled(ten, quartic), one, Interpolation::sprague)->spectrum, quartic,
                  420, 680),
            1e-11);
  EXPECT_LT(worst(resample(sampled(ten, cubic), one, Interpolation::lagrange4)->spectrum, cubic,
                  410, 690),
            1e-12);
  EXPECT_LT(worst(resample(sampled(ten, straight), one, Interpolation::sprague)->spectrum, straight,
                  400, 700),
            1e-13);
  EXPECT_LT(worst(resample(sampled(ten, straight), one, Interpolation::linear)->spectrum, straight,
                  400, 700),
            1e-13);
  EXPECT_LT(worst(resample(sampled(ten, straight), one, Interpolation::cubic_spline)->spectrum,
                  straight, 400, 700),
            1e-13);
}

TEST(Resample, KeepsMeasuredValues) {
  const auto wave = [](double x) { return 0.5 + 0.3 * std::sin(x / 20); };
  for (auto method : {Interpolation::sprague, Interpolation::cubic_spline, Interpolation::lagrange4,
                      Interpolation::linear})
    EXPECT_LT(worst(resample(sampled(ten, wave), ten, method)->spectrum, wave, 400, 700), 1e-14);
}

TEST(Resample, TheSplineIsSmoothOnUnequalSteps) {
  const auto wave = [](double x) { return 0.5 + 0.3 * std::sin(x / 60); };
  const auto uneven =
      *WavelengthGrid::from_nm({400, 408, 420, 430, 445, 455, 470, 480, 496, 505, 520, 535, 545,
                                560, 570, 585, 600, 612, 625, 640, 650, 665, 680, 690, 700});
  const auto found = resample(sampled(uneven, wave), one, best_interpolation(uneven));
  ASSERT_TRUE(found);
  EXPECT_LT(worst(found->spectrum, wave, 420, 680), 1e-4);
}

TEST(Resample, HoldsTheEndsAndCountsThem) {
  const auto rise = [](double x) { return x / 1000; };
  const auto wide = WavelengthGrid::equal_steps(380, 10, 36);
  const auto found = resample(sampled(ten, rise), wide, Interpolation::sprague);
  ASSERT_TRUE(found);
  EXPECT_EQ(found->bands_extrapolated, 5u);  // 380, 390, 710, 720, 730
  EXPECT_DOUBLE_EQ(found->spectrum.value.front(), 0.4);
  EXPECT_DOUBLE_EQ(found->spectrum.value.back(), 0.7);
}

TEST(Resample, RefusesWhatAMethodCannotDo) {
  const auto uneven = *WavelengthGrid::from_nm({400, 410, 425, 430, 440, 450, 460});
  EXPECT_FALSE(interpolation_matrix(uneven, one, Interpolation::sprague));
  EXPECT_FALSE(
      interpolation_matrix(WavelengthGrid::equal_steps(400, 50, 5), one, Interpolation::sprague));
  EXPECT_FALSE(interpolation_matrix(WavelengthGrid::equal_steps(400, 150, 3), one,
                                    Interpolation::lagrange4));
  EXPECT_EQ(best_interpolation(uneven), Interpolation::cubic_spline);
  EXPECT_EQ(best_interpolation(ten), Interpolation::sprague);
}

TEST(Grid, RefusesWhatDoesNotRise) {
  EXPECT_FALSE(WavelengthGrid::from_nm({400}));
  const auto falling = WavelengthGrid::from_nm({400, 410, 405});
  ASSERT_FALSE(falling);
  EXPECT_NE(falling.error().message.find("405 nm comes after 410 nm"), std::string::npos);
  EXPECT_FALSE(WavelengthGrid::from_nm({400, NAN}));
  EXPECT_EQ(*ten.step(), 10);
}

}  // namespace
}  // namespace mendtone::resample_test
