#include <gtest/gtest.h>

#include "mendtone/colour/difference.hpp"

namespace mendtone::chain_test {
namespace {

struct ChainRow {
  Xyz one, two;
  Lab lab_one, lab_two;
  double de_ab, de94, de00;
};

// Tristimulus values to CIELAB to differences, D65 and 10 degrees with white 94.811, 100, 107.304:
// the ten pairs of Table 5.1 in Westland's Computational Colour Science, after Luo et al. 2001;
// L*a*b* and differences computed. Two of them use the linear branch of CIELAB.
constexpr ChainRow chain[] = {
    {{19.41, 28.41, 11.5766},
     {19.5525, 28.64, 10.5791},
     {60.2574, -34.0099, 36.2677},
     {60.4626, -34.1751, 39.4387},
     3.1819,
     1.3910,
     1.2644},
    {{22.48, 31.6, 38.48},
     {22.5833, 31.37, 36.7901},
     {63.0109, -31.0961, -5.8663},
     {62.8187, -29.7946, -4.0864},
     2.2134,
     1.2481,
     1.2630},
    {{28.995, 29.58, 35.75},
     {28.7704, 29.74, 35.6045},
     {61.2901, 3.7196, -5.3901},
     {61.4292, 2.2480, -4.9620},
     1.5390,
     1.2980,
     1.8731},
    {{4.14, 8.54, 8.03},
     {4.4129, 8.51, 8.6453},
     {35.0831, -44.1164, 3.7933},
     {35.0232, -40.0716, 1.5901},
     4.6063,
     1.8204,
     1.8645},
    {{4.96, 3.72, 19.59},
     {4.6651, 3.81, 17.7848},
     {22.7233, 20.0904, -46.6940},
     {23.0331, 14.9730, -42.5619},
     6.5847,
     2.5561,
     2.0373},
    {{15.6, 9.25, 5.02},
     {15.9148, 9.15, 4.3872},
     {36.4612, 47.8580, 18.3852},
     {36.2715, 50.5065, 21.2231},
     3.8864,
     1.4249,
     1.4146},
    {{73, 78.05, 81.8},
     {73.9351, 78.82, 84.5156},
     {90.8027, -2.0831, 1.4410},
     {91.1528, -1.6435, 0.0447},
     1.5051,
     1.4194,
     1.4440},
    {{73.995, 78.32, 85.306},
     {69.1762, 73.4, 79.713},
     {90.9257, -0.5406, -0.9208},
     {88.6381, -0.8985, -0.7239},
     2.3238,
     2.3226,
     1.5381},
    {{0.704, 0.75, 0.972},
     {0.613873, 0.65, 0.851025},
     {6.7747, -0.2909, -2.4247},
     {5.8714, -0.0985, -2.2286},
     0.9441,
     0.9385,
     0.6377},
    {{0.22, 0.23, 0.325},
     {0.093262, 0.1, 0.145292},
     {2.0776, 0.0795, -1.1350},
     {0.9033, -0.0636, -0.5514},
     1.3191,
     1.3065,
     0.9082},
};

void expect_lab(const Lab& found, const Lab& printed) {
  EXPECT_NEAR(found.L, printed.L, 5.1e-5);
  EXPECT_NEAR(found.a, printed.a, 5.1e-5);
  EXPECT_NEAR(found.b, printed.b, 5.1e-5);
}

TEST(Chain, FromTristimulusValuesToDifferences) {
  const Xyz white{94.811, 100, 107.304};
  for (const ChainRow& row : chain) {
    const Lab one = xyz_to_lab(row.one, white), two = xyz_to_lab(row.two, white);
    expect_lab(one, row.lab_one);
    expect_lab(two, row.lab_two);
    EXPECT_NEAR(de_ab(one, two), row.de_ab, 5.1e-5);
    EXPECT_NEAR(de94(one, two), row.de94, 5.1e-5);
    EXPECT_NEAR(de00(one, two), row.de00, 5.1e-5);
  }
}

TEST(Lab, RoundTripsThroughBothBranches) {
  const Xyz white{96.42, 100, 82.49};
  for (double Y : {-1.0, 0.0, 0.3, 0.88, 0.9, 20.0, 100.0, 130.0}) {
    const Xyz xyz{0.9 * Y, Y, 0.7 * Y};
    const Xyz back = lab_to_xyz(xyz_to_lab(xyz, white), white);
    EXPECT_NEAR(back.X, xyz.X, 1e-12);
    EXPECT_NEAR(back.Y, xyz.Y, 1e-12);
    EXPECT_NEAR(back.Z, xyz.Z, 1e-12);
  }
}

TEST(Lch, HasHueInZeroTo360AndZeroForGrey) {
  EXPECT_EQ(lab_to_lch({50, 0, 0}).h, 0);
  EXPECT_NEAR(lab_to_lch({50, 1, -1}).h, 315, 1e-12);
  const Lab back = lch_to_lab(lab_to_lch({50, -3, 7}));
  EXPECT_NEAR(back.a, -3, 1e-12);
  EXPECT_NEAR(back.b, 7, 1e-12);
}

}  // namespace
}  // namespace mendtone::chain_test
