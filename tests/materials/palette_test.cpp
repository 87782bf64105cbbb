#include "mendtone/materials/palette.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace mendtone::palette_test {
namespace {

Palette two_colorants(Application application) {
  Palette palette;
  palette.grid = WavelengthGrid::equal_steps(400, 100, 4);
  palette.application = application;
  palette.ply = {palette.grid, {0.05, 0.03, 0.02, 0.02}, {0.6, 0.55, 0.5, 0.5}, {}};
  palette.support = {0.8, 0.85, 0.88, 0.9};
  palette.colorants.resize(2);
  palette.colorants[0].k = {2.0, 0.8, 0.2, 0.1};
  palette.colorants[0].s = {0.1, 0.2, 0.3, 0.25};
  palette.colorants[0].law = {LoadLaw::Kind::power, 0.85};
  palette.colorants[0].filling = 0.1;
  palette.colorants[1].k = {1.0, 1.1, 1.2, 1.3};
  palette.colorants[1].s = {0, 0, 0.01, 0.01};
  palette.colorants[1].law = {LoadLaw::Kind::saturating, 2.5};
  if (application == Application::film) palette.interface = {0.02, 0.04, 0.4};
  return palette;
}

LearntResidual some_residual() {
  LearntResidual learnt;
  learnt.shape = {{0.1, 0.2, -0.1, 0.3}, {0.4, -0.2, 0.1, 0.0}};
  learnt.site = {{0.5, 0.1}, {0.2, 0.6}, {1.0, 0.0}};
  learnt.weight = {{0.5, -0.3, 0.2}, {0.1, 0.4, -0.6}};
  learnt.load_scale = {1.0, 0.8};
  learnt.reach = 0.6;
  return learnt;
}

// Central differences leave an error of the order h^2 = 1e-10 times the third derivative.
void expect_slopes(const Palette& palette, int plies, const std::vector<double>& below) {
  const std::vector<double> loads{0.4, 0.3};
  const SwatchSlopes at = swatch_slopes(palette, loads, plies, below);
  const std::size_t bands = palette.grid.size();
  const std::vector<double> R = reflectance(palette, loads, plies, below);
  for (std::size_t i = 0; i < bands; ++i) EXPECT_NEAR(at.R[i], R[i], 1e-15);
  const double h = 1e-5;
  for (std::size_t j = 0; j < 2; ++j) {
    std::vector<double> more = loads, less = loads;
    more[j] += h;
    less[j] -= h;
    const auto up = reflectance(palette, more, plies, below);
    const auto down = reflectance(palette, less, plies, below);
    for (std::size_t i = 0; i < bands; ++i)
      EXPECT_NEAR(at.dR[j * bands + i], (up[i] - down[i]) / (2 * h), 1e-8) << j << ' ' << i;
    if (palette.application == Application::film) continue;
    const auto T_up = transmittance(palette, more, plies);
    const auto T_down = transmittance(palette, less, plies);
    for (std::size_t i = 0; i < bands; ++i)
      EXPECT_NEAR(at.dT[j * bands + i], (T_up[i] - T_down[i]) / (2 * h), 1e-8);
  }
}

TEST(Palette, SlopesAgreeWithDifferences) {
  Palette absorbed = two_colorants(Application::absorbed);
  expect_slopes(absorbed, 1, {0.85, 0.85, 0.85, 0.85});
  expect_slopes(absorbed, 3, {0.05, 0.05, 0.06, 0.06});
  absorbed.learnt = some_residual();
  expect_slopes(absorbed, 2, {0.5, 0.6, 0.7, 0.7});
  Palette film = two_colorants(Application::film);
  expect_slopes(film, 1, {});
  film.learnt = some_residual();
  expect_slopes(film, 1, {});
  for (LayerModel model : {LayerModel::many_fluxes_45_0, LayerModel::many_fluxes_sphere}) {
    Palette many = two_colorants(Application::absorbed);
    many.model = many.ply.model = model;
    expect_slopes(many, 2, {0.5, 0.6, 0.7, 0.7});
    many = two_colorants(Application::film);
    many.model = model;
    expect_slopes(many, 1, {});
  }
  absorbed.screening = film.screening = 2;
  absorbed.quenching = film.quenching = 0.06;
  expect_slopes(absorbed, 2, {0.5, 0.6, 0.7, 0.7});
  expect_slopes(film, 1, {});
}

TEST(Palette, NoLoadLeavesTheSubstrateAsItWasRead) {
  const std::vector<double> none{0, 0};
  const Palette film = two_colorants(Application::film);
  const auto R = reflectance(film, none, 1, {});
  for (std::size_t i = 0; i < R.size(); ++i) EXPECT_NEAR(R[i], film.support[i], 1e-14);
  const Palette absorbed = two_colorants(Application::absorbed);
  const std::vector<double> white(4, 0.85);
  const auto toned = reflectance(absorbed, none, 2, white);
  const auto bare = stacked(absorbed.ply, 2);
  for (std::size_t i = 0; i < toned.size(); ++i) EXPECT_EQ(toned[i], over(bare[i], 0.85));
}

// Washes so thin that they only absorb, on a ply so thick that nothing behind it shows: what the
// remission function (1 - R)^2 / 2R of Kubelka and Munk gains from each adds up. Ref: kubelka1948
TEST(Palette, RemissionFunctionsOfDiluteWashesAddUp) {
  Palette palette = two_colorants(Application::absorbed);
  for (std::size_t i = 0; i < 4; ++i) {
    palette.ply.K[i] *= 200;
    palette.ply.S[i] *= 200;
  }
  for (Colorant& colorant : palette.colorants) {
    colorant.s.assign(4, 0.0);
    colorant.law = {};
    colorant.filling = 0;
  }
  const auto remission = [&](const std::vector<double>& loads, std::size_t i) {
    const double R = reflectance(palette, loads, 1, std::vector<double>(4, 0.5))[i];
    return (1 - R) * (1 - R) / (2 * R);
  };
  for (std::size_t i = 0; i < 4; ++i) {
    const double bare = remission({0, 0}, i), one = remission({0.4, 0}, i) - bare,
                 two = remission({0, 0.7}, i) - bare;
    EXPECT_NEAR(bare, palette.ply.K[i] / palette.ply.S[i], 1e-12);
    EXPECT_GT(one, 0);
    EXPECT_NEAR(remission({0.4, 0.7}, i) - bare, one + two, 1e-12);
    EXPECT_NEAR(remission({0.8, 0}, i) - bare, 2 * one, 1e-12);
  }
}

// Saunderson's formula with k1 = ke, printed to nine decimals; by
// tests/optics/computed.mjs.
TEST(Interface, TabulatedValues) {
  const InterfaceCorrection strong{0.04, 0.04, 0.60}, weak{0.04, 0.04, 0.40}, inner{0, 0, 0.60};
  EXPECT_NEAR(strong.outward(0.5), 0.314285714, 1e-9);
  EXPECT_NEAR(strong.outward(0.1), 0.080851064, 1e-9);
  EXPECT_NEAR(weak.outward(0.9), 0.85, 1e-12);
  EXPECT_NEAR(inner.outward(0.5), 0.285714286, 1e-9);
  EXPECT_NEAR(strong.inward(0.5), 0.696969697, 1e-9);
  EXPECT_NEAR(weak.inward(0.5), 0.605263158, 1e-9);
  EXPECT_NEAR(inner.inward(0.5), 0.714285714, 1e-9);
}

}  // namespace
}  // namespace mendtone::palette_test
