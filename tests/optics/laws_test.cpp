#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "mendtone/base/random.hpp"
#include "mendtone/optics/interface.hpp"
#include "mendtone/optics/inversion.hpp"
#include "mendtone/optics/layer.hpp"
#include "mendtone/optics/paper.hpp"

namespace mendtone::laws_test {
namespace {

// Computed from Kubelka 1948 by computed.mjs, printed to 12 decimals.
TEST(Laws, LimitsOfALayer) {
  const Slab white = layer(0, 1);
  EXPECT_NEAR(white.R12, 0.5, 1e-15);
  EXPECT_NEAR(white.T, 0.5, 1e-15);
  EXPECT_NEAR(over(white, 0.85), 0.869565217391, 5e-13);
  EXPECT_NEAR(over(white, 1), 1, 1e-15);
  EXPECT_EQ(reflectivity(0, 1), 1);
  const Slab filter = layer(5 * 0.2, 0);
  EXPECT_EQ(filter.R12, 0);
  EXPECT_NEAR(filter.T, 0.367879441171, 5e-13);
  EXPECT_NEAR(over(filter, 1), 0.135335283237, 5e-13);
  EXPECT_EQ(reflectivity(5, 0), 0);
  const Slab nothing = layer(0, 0);
  EXPECT_EQ(nothing.R12, 0);
  EXPECT_EQ(nothing.T, 1);
  const Slab thin = layer(2 * 0.25, 0.3 * 0.25);
  EXPECT_NEAR(thin.R12, 0.044614800884, 5e-13);
  EXPECT_NEAR(thin.T, 0.563823435926, 5e-13);
  EXPECT_NEAR(over(layer(0.01, 0.2), 1), 0.980224771051, 5e-13);
}

TEST(Laws, AThickLayerIsItsReflectivity) {
  for (const double scale : {1e2, 1e4, 1e8}) {
    const Slab slab = layer(0.3 * scale, 0.9 * scale);
    EXPECT_NEAR(slab.R12, reflectivity(0.3, 0.9), 1e-14);
    EXPECT_LT(slab.T, 1e-30);
    EXPECT_TRUE(std::isfinite(slab.T));
  }
}

/// The closed form as the textbooks print it, in long double.
Slab textbook(long double K, long double S) {
  const long double a = 1 + K / S, b = std::sqrt(a * a - 1);
  const long double x = b * S, D = a * std::sinh(x) + b * std::cosh(x);
  return {static_cast<double>(std::sinh(x) / D), 0, static_cast<double>(b / D)};
}

TEST(Laws, ClosedFormInLongDouble) {
  CounterRandom random(11);
  for (int i = 0; i < 20000; ++i) {
    // Below 1e-4 the textbook form loses digits itself, even in long double.
    const double K = std::pow(10, -4 + 6 * random.uniform());
    const double S = std::pow(10, -4 + 6 * random.uniform());
    const Slab exact = textbook(K, S), slab = layer(K, S);
    ASSERT_NEAR(slab.R12, exact.R12, 1e-11 * exact.R12) << K << ' ' << S;
    if (exact.T > 1e-100) {
      ASSERT_NEAR(slab.T, exact.T, 1e-11 * exact.T) << K << ' ' << S;
    }
  }
}

/// The two fluxes of Kubelka and Munk, integrated from the lower face upwards by Runge and Kutta's
/// fourth order: di = (K+S) i - S j, dj = S i - (K+S) j, per depth measured upwards.
Slab integrated(double K, double S, int steps) {
  std::array<double, 2> flux{1, 0};  // at the lower face over nothing: i passes, nothing returns
  const auto slope = [&](const std::array<double, 2>& f) {
    return std::array<double, 2>{(K + S) * f[0] - S * f[1], S * f[0] - (K + S) * f[1]};
  };
  const double h = 1.0 / steps;
  const auto moved = [&](const std::array<double, 2>& d, double by) {
    return std::array<double, 2>{flux[0] + by * d[0], flux[1] + by * d[1]};
  };
  for (int n = 0; n < steps; ++n) {
    const auto k1 = slope(flux), k2 = slope(moved(k1, h / 2)), k3 = slope(moved(k2, h / 2)),
               k4 = slope(moved(k3, h));
    for (std::size_t c = 0; c < 2; ++c) flux[c] += h / 6 * (k1[c] + 2 * k2[c] + 2 * k3[c] + k4[c]);
  }
  return {flux[1] / flux[0], 0, 1 / flux[0]};
}

TEST(Laws, TheTwoFluxEquationsIntegrated) {
  for (const auto& [K, S] : {std::pair{0.1, 1.0},
                             {1.0, 1.0},
                             {0.5, 0.05},
                             {0.01, 0.2},
                             {0.0, 1.0},
                             {1.0, 0.0},
                             {3.0, 2.0},
                             {0.002, 3.0}}) {
    const Slab slab = layer(K, S), fluxes = integrated(K, S, 2000);
    EXPECT_NEAR(slab.R12, fluxes.R12, 1e-8);
    EXPECT_NEAR(slab.T, fluxes.T, 1e-8);
  }
}

TEST(Laws, NoLightIsMade) {
  CounterRandom random(3);
  for (int i = 0; i < 20000; ++i) {
    const double K = std::pow(10, -8 + 11 * random.uniform());
    const double S = std::pow(10, -8 + 11 * random.uniform());
    const Slab slab = layer(K, S);
    ASSERT_LE(slab.R12 + slab.T, 1 + 1e-15) << K << ' ' << S;
    ASSERT_GE(slab.R12, 0);
    ASSERT_GE(slab.T, 0);
    ASSERT_LE(over(slab, 1), 1 + 1e-12);
  }
}

// Kubelka 1954: reflections added up one by one in computed.mjs, printed to 12 decimals.
TEST(Laws, TwoUnlikePlies) {
  const Slab one = layer(0.1, 0.6), two = layer(0.3, 0.4);
  EXPECT_NEAR(one.R12, 0.344241511502, 5e-13);
  EXPECT_NEAR(one.T, 0.561490894616, 5e-13);
  EXPECT_NEAR(two.R12, 0.221281330536, 5e-13);
  EXPECT_NEAR(two.T, 0.523909124150, 5e-13);
  const Slab both = in_front(one, two);
  EXPECT_NEAR(both.R12, 0.419757712285, 5e-13);
  EXPECT_NEAR(both.R21, 0.323560003943, 5e-13);
  EXPECT_NEAR(both.T, 0.318426059422, 5e-13);
  const Slab doubled = in_front(one, one), thick = layer(0.2, 1.2);
  EXPECT_NEAR(doubled.R12, 0.467361184150, 5e-13);
  EXPECT_NEAR(doubled.T, 0.357654926944, 5e-13);
  EXPECT_NEAR(doubled.R12, thick.R12, 1e-15);
  EXPECT_NEAR(doubled.T, thick.T, 1e-15);
}

TEST(Laws, StackingDoesNotDependOnTheOrderOfGlueing) {
  const Slab a = layer(0.1, 0.6), b = layer(0.4, 0.2), c = layer(0.02, 1.3);
  const Slab left = in_front(in_front(a, b), c), right = in_front(a, in_front(b, c));
  EXPECT_NEAR(left.R12, right.R12, 1e-15);
  EXPECT_NEAR(left.R21, right.R21, 1e-15);
  EXPECT_NEAR(left.T, right.T, 1e-15);
  EXPECT_NEAR(over(left, 0.7), over(a, over(b, over(c, 0.7))), 1e-15);
}

// ISO 9416 (formula from memory, checked by round trip); values by
// bisection in computed.mjs.
TEST(Laws, PaperCoefficients) {
  struct Row {
    double R0, Rinf, grammage, s, k, T;
  };
  for (const Row& row : {Row{0.70, 0.85, 60, 42.409785, 0.561306, 0.267339837},
                         {0.80, 0.88, 80, 57.559814, 0.470944, 0.164039906},
                         {0.75, 0.80, 80, 51.563833, 1.289096, 0.158113883},
                         {0.30, 0.70, 12, 37.046637, 2.381570, 0.671884344},
                         {0.125, 0.80, 5, 28.683787, 0.717095, 0.871421253},
                         {0.056, 0.80, 2, 29.706841, 0.742671, 0.942515782}}) {
    const auto found = paper_coefficients(row.R0, row.Rinf, row.grammage);
    ASSERT_TRUE(found);
    EXPECT_NEAR(found->s_m2_kg, row.s, 5e-7);
    EXPECT_NEAR(found->k_m2_kg, row.k, 5e-7);
    const Slab sheet =
        layer(found->k_m2_kg * row.grammage / 1000, found->s_m2_kg * row.grammage / 1000);
    EXPECT_NEAR(sheet.R12, row.R0, 1e-12);
    EXPECT_NEAR(sheet.T, row.T, 5e-10);
    EXPECT_NEAR(reflectivity(found->k_m2_kg, found->s_m2_kg), row.Rinf, 1e-12);
  }
  EXPECT_FALSE(paper_coefficients(0.9, 0.8, 60));
  EXPECT_FALSE(paper_coefficients(0.5, 0.8, 0));
  EXPECT_FALSE(paper_coefficients(0.5, 1.0, 60));
}

// The same s and k from two backings (TAPPI T 1214 form of a: from R0 and R over Rg).
TEST(Laws, PaperCoefficientsAgreeWithTwoBackings) {
  const double grammage = 12;
  const auto paper = paper_coefficients(0.30, 0.70, grammage);
  ASSERT_TRUE(paper);
  const Slab sheet = layer(paper->k_m2_kg * grammage / 1000, paper->s_m2_kg * grammage / 1000);
  const double R = over(sheet, 0.89), R0 = sheet.R12;
  const double a = 0.5 * (R + (R0 - R + 0.89) / (R0 * 0.89));
  EXPECT_NEAR(a - std::sqrt(a * a - 1), 0.70, 1e-12);
  const LayerFound found = layer_from_two_backings({R0, 0}, {R, 0.89});
  EXPECT_NEAR(found.SX * 1000 / grammage, paper->s_m2_kg, 1e-9);
  EXPECT_NEAR(found.KX * 1000 / grammage, paper->k_m2_kg, 1e-9);
}

// Saunderson's correction, by computed.mjs; k1 = ke is a d/8 instrument with gloss.
TEST(Laws, InterfaceReadings) {
  struct Row {
    double k1, k2;
    std::array<double, 5> read;
    double inside;
  };
  const std::array<double, 5> R{0, 0.1, 0.5, 0.9, 1};
  for (const Row& row :
       {Row{0.04, 0.60, {0.04, 0.080851064, 0.314285714, 0.791304348, 1}, 0.696969697},
        Row{0.04, 0.40, {0.04, 0.1, 0.4, 0.85, 1}, 0.605263158},
        Row{0, 0.60, {0, 0.042553191, 0.285714286, 0.782608696, 1}, 0.714285714}}) {
    const InterfaceCorrection interface { row.k1, row.k1, row.k2 };
    for (std::size_t i = 0; i < R.size(); ++i) {
      EXPECT_NEAR(interface.outward(R[i]), row.read[i], 5e-10);
      EXPECT_NEAR(interface.inward(interface.outward(R[i])), R[i], 1e-14);
    }
    EXPECT_NEAR(interface.inward(0.5), row.inside, 5e-10);
  }
}

TEST(Laws, SurfacesAddedAndTakenAway) {
  const InterfaceCorrection interface { 0, 0.04, 0.6 };
  for (const auto& [K, S] : {std::pair{0.1, 1.0}, {0.0, 0.5}, {2.0, 0.01}, {0.3, 8.0}}) {
    const Slab inside = layer(K, S), outside = in_air(inside, interface);
    EXPECT_NEAR(outside.R12, outside.R21, 1e-15);
    EXPECT_LE(outside.R12 + outside.T, 1 + 1e-14);
    const Slab back = inside_of(outside, interface);
    EXPECT_NEAR(back.R12, inside.R12, 1e-13);
    EXPECT_NEAR(back.T, inside.T, 1e-13);
    // Over nothing the front surface alone gives the instrument's formula for a thick layer.
    if (inside.T < 1e-3) {
      EXPECT_NEAR(outside.R12 + interface.seen_gloss(), interface.outward(inside.R12), 1e-6);
    }
  }
}

TEST(Laws, ContactAndGapDifferOnlyWithAnInterface) {
  const Slab ply = layer(0.05, 0.6);
  const Slab contact = pile(ply, 3, Joint::contact, {}), gap = pile(ply, 3, Joint::air, {});
  EXPECT_EQ(contact.R12, gap.R12);
  EXPECT_EQ(contact.T, gap.T);
  const InterfaceCorrection film{0.04, 0.04, 0.6};
  EXPECT_GT(pile(ply, 3, Joint::contact, film).T, pile(ply, 3, Joint::air, film).T + 0.01);
  EXPECT_EQ(pile(ply, 1, Joint::contact, film).T, pile(ply, 1, Joint::air, film).T);
}

}  // namespace
}  // namespace mendtone::laws_test
