#include "mendtone/optics/many_flux_inversion.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "mendtone/base/random.hpp"

namespace mendtone::many_flux_inversion_test {
namespace {

constexpr Viewing viewings[] = {Viewing::at_45_0, Viewing::diffuse_8};
using Kind = PathReading::Kind;

/// What `plies` of a ply read, by the direct solution or by the tables.
PathReading read(const Path& ply, double Rg, Viewing viewing, int plies = 1) {
  return {Kind::over_backing,
          over(many_flux({plies * ply.absorption, plies * ply.scattering}, viewing), Rg), Rg,
          plies};
}

// Wherever the two readings differ by more than 0.001 the ply comes back, to the last bits of the
// readings over what shines through.
TEST(ManyFluxInversion, RoundTripWhereverTheReadingsDiffer) {
  CounterRandom random(7);
  int determined = 0;
  double worst = 0;
  for (int i = 0; i < 3000; ++i) {
    const Path ply{std::pow(10, -5 + 6 * random.uniform()),
                   std::pow(10, -4 + 6 * random.uniform())};
    const Viewing viewing = viewings[i % 2];
    const int plies = 1 + i % 3;
    const PathReading readings[] = {read(ply, 0.12 * random.uniform(), viewing, plies),
                                    read(ply, 0.5 + 0.45 * random.uniform(), viewing, plies)};
    if (readings[1].value - readings[0].value <= opaque_below) continue;
    const PathFound found = path_from(readings, viewing);
    ASSERT_EQ(found.body, BodyKind::determined) << ply.absorption << ' ' << ply.scattering;
    ASSERT_LT(found.misfit, 1e-11) << ply.absorption << ' ' << ply.scattering;
    worst = std::max(
        {worst, std::abs(found.path.absorption - ply.absorption) / std::max(ply.absorption, 1.0),
         std::abs(found.path.scattering - ply.scattering) / std::max(ply.scattering, 1.0)});
    ++determined;
  }
  EXPECT_LT(worst, 1e-6);
  EXPECT_GT(determined, 1000);
}

// From the direct solution the tables lead back to the ply within what they are exact to.
TEST(ManyFluxInversion, BackFromTheDirectSolution) {
  for (const Viewing viewing : viewings)
    for (const Path ply : {Path{0.002, 0.56}, Path{0.05, 1.5}, Path{0.12, 4.8}, Path{0.6, 0.6}}) {
      const Slab slab = solved(ply, viewing, tabulated_streams, tabulated_phase);
      const PathReading readings[] = {{Kind::over_backing, over(slab, 0.04), 0.04, 1},
                                      {Kind::over_backing, over(slab, 0.88), 0.88, 1}};
      const PathFound found = path_from(readings, viewing);
      EXPECT_NEAR(found.path.absorption, ply.absorption, 2e-4 * ply.absorption + 1e-6);
      EXPECT_NEAR(found.path.scattering, ply.scattering, 2e-4 * ply.scattering);
    }
}

// How the ply answers to each reading: central differences of the inversion itself.
TEST(ManyFluxInversion, SlopesAgreeWithDifferences) {
  for (const Viewing viewing : viewings)
    for (const Path ply : {Path{0.01, 0.5}, Path{0.2, 2}, Path{0.05, 5}}) {
      PathReading readings[] = {read(ply, 0.05, viewing),
                                read(ply, 0.85, viewing),
                                {Kind::transmitted, many_flux(ply, viewing).out, 0, 1}};
      const PathFound found = path_from(readings, viewing);
      ASSERT_EQ(found.by_reading.size(), 3u);
      for (std::size_t r = 0; r < 3; ++r) {
        constexpr double h = 1e-6;
        const double value = readings[r].value;
        readings[r].value = value + h;
        const Path more = path_from(readings, viewing).path;
        readings[r].value = value - h;
        const Path less = path_from(readings, viewing).path;
        readings[r].value = value;
        const double K = (more.absorption - less.absorption) / (2 * h);
        const double S = (more.scattering - less.scattering) / (2 * h);
        EXPECT_NEAR(found.by_reading[r].absorption, K, 1e-3 * std::abs(K) + 1e-4);
        EXPECT_NEAR(found.by_reading[r].scattering, S, 1e-3 * std::abs(S) + 1e-4);
      }
    }
}

// More readings than unknowns: what does not agree is told, and the fit is the best there is.
TEST(ManyFluxInversion, LeastSquaresTellTheirMisfit) {
  const Path ply{0.03, 1.2};
  const Viewing viewing = Viewing::at_45_0;
  PathReading readings[] = {read(ply, 0.04, viewing),
                            read(ply, 0.4, viewing),
                            read(ply, 0.88, viewing),
                            read(ply, 0.88, viewing, 2),
                            {Kind::transmitted, many_flux(ply, viewing).out, 0, 1}};
  const PathFound clean = path_from(readings, viewing);
  EXPECT_LT(clean.misfit, 1e-10);
  EXPECT_NEAR(clean.path.absorption, ply.absorption, 1e-9);
  readings[1].value += 0.01;
  const PathFound found = path_from(readings, viewing);
  EXPECT_EQ(found.body, BodyKind::determined);
  EXPECT_GT(found.misfit, 0.003);
  EXPECT_LT(found.misfit, 0.01);
  const auto square = [&](double K, double S) {
    double sum = 0;
    for (const PathReading& r : readings)
      sum += std::pow(predicted(r, {K, S}, viewing).value - r.value, 2);
    return sum;
  };
  const double best = square(found.path.absorption, found.path.scattering);
  for (double f : {0.999, 1.001}) {
    EXPECT_GT(square(found.path.absorption * f, found.path.scattering), best);
    EXPECT_GT(square(found.path.absorption, found.path.scattering * f), best);
  }
}

// One reflectance and one transmittance determine a ply as two backings do.
TEST(ManyFluxInversion, ReflectanceAndTransmittance) {
  const Path ply{0.08, 2.5};
  for (const Viewing viewing : viewings) {
    const PathReading readings[] = {read(ply, 0.04, viewing),
                                    {Kind::transmitted, many_flux(ply, viewing).out, 0, 1}};
    const PathFound found = path_from(readings, viewing);
    EXPECT_NEAR(found.path.absorption, ply.absorption, 1e-9);
    EXPECT_NEAR(found.path.scattering, ply.scattering, 1e-9);
  }
}

TEST(ManyFluxInversion, LimitsAndNoise) {
  for (const Viewing viewing : viewings) {
    for (const Path ply : {Path{0, 0.7}, Path{0.3, 0}}) {
      const PathReading exact[] = {read(ply, 0.04, viewing), read(ply, 0.89, viewing)};
      const PathFound found = path_from(exact, viewing);
      EXPECT_NEAR(found.path.absorption, ply.absorption, 1e-8);
      EXPECT_NEAR(found.path.scattering, ply.scattering, 1e-8);
    }
    PathReading white[] = {read({0, 0.7}, 0.04, viewing), read({0, 0.7}, 0.89, viewing)};
    for (PathReading& r : white) r.value += 0.002;
    const PathFound noisy = path_from(white, viewing);
    EXPECT_EQ(noisy.body, BodyKind::no_absorption);
    EXPECT_EQ(noisy.path.absorption, 0);
    EXPECT_LT(noisy.misfit, 0.004);

    PathReading clear[] = {read({0.2, 0}, 0.04, viewing), read({0.2, 0}, 0.89, viewing)};
    clear[0].value -= 0.002;
    const PathFound thin = path_from(clear, viewing);
    EXPECT_EQ(thin.body, BodyKind::no_scattering);
    EXPECT_EQ(thin.path.scattering, 0);
    EXPECT_NEAR(thin.path.absorption, 0.2, 1e-3);
  }
}

TEST(ManyFluxInversion, OpaqueKeepsWhatIsRead) {
  for (const Viewing viewing : viewings) {
    const PathReading readings[] = {{Kind::over_backing, 0.5231, 0.04, 1},
                                    {Kind::over_backing, 0.5239, 0.89, 1}};
    const PathFound found = path_from(readings, viewing);
    EXPECT_EQ(found.body, BodyKind::opaque);
    EXPECT_NEAR(many_flux(found.path, viewing).seen, 0.5235, 1e-9);
    EXPECT_LT(many_flux(found.path, viewing).T, 1e-30);
    for (double R : {0.0, 1e-6, 0.3, 0.95})
      EXPECT_NEAR(many_flux(opaque_path(R, viewing), viewing).seen, R, 1e-9);
  }
}

TEST(ManyFluxInversion, WhatNoSheetDoesIsSaid) {
  const PathReading reversed[] = {{Kind::over_backing, 0.60, 0.04, 1},
                                  {Kind::over_backing, 0.50, 0.89, 1}};
  EXPECT_EQ(path_from(reversed, Viewing::at_45_0).body, BodyKind::impossible);
  const PathReading glowing[] = {{Kind::over_backing, 0.30, 0.04, 1},
                                 {Kind::over_backing, 1.10, 0.89, 1}};
  EXPECT_EQ(path_from(glowing, Viewing::at_45_0).body, BodyKind::impossible);
}

}  // namespace
}  // namespace mendtone::many_flux_inversion_test
