#include "mendtone/colour/metamerism.hpp"

#include <gtest/gtest.h>

#include "colour/lights.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/colour/brightener.hpp"
#include "mendtone/colour/repeats.hpp"

namespace mendtone::metamerism_test {
namespace {

// The worked example of ISO 18314-4:2024, 400-700 nm, D65 to A, 10 degrees; found in
// colour-science, metamerism_index.py.
const std::vector<double> standard{0.0990, 0.1244, 0.0933, 0.0596, 0.0405, 0.0322, 0.0299, 0.0316,
                                   0.0377, 0.0507, 0.0681, 0.0968, 0.1522, 0.2014, 0.1991, 0.1590,
                                   0.1162, 0.0843, 0.0655, 0.0570, 0.0553, 0.0582, 0.0638, 0.0716,
                                   0.0818, 0.0959, 0.1131, 0.1317, 0.1490, 0.1656, 0.1832};
const std::vector<double> sample{0.0379, 0.0403, 0.0415, 0.0427, 0.0450, 0.0483, 0.0521, 0.0572,
                                 0.0624, 0.0673, 0.0777, 0.1026, 0.1307, 0.1450, 0.1484, 0.1455,
                                 0.1375, 0.1254, 0.1099, 0.0908, 0.0698, 0.0526, 0.0423, 0.0368,
                                 0.0331, 0.0306, 0.0297, 0.0311, 0.0340, 0.0380, 0.0421};

MetamericPair published_pair() {
  // White of A from its chromaticity, six digits: 100 x/y and 100 (1-x-y)/y of 0.45117, 0.40594.
  const Xyz A{100 * 0.45117 / 0.40594, 100, 100 * (1 - 0.45117 - 0.40594) / 0.40594};
  const Xyz D65{94.811, 100, 107.304};
  return {{7.6576, 10.7116, 5.0731},
          {7.6933, 10.5616, 5.54474},
          {8.96442, 10.1878, 1.6663},
          {8.56438, 10.0324, 1.9315},
          D65,
          A};
}

// The tristimulus values are printed to four or five digits, which is worth 2e-3 in the index.
TEST(Metamerism, IndicesOfThePublishedExample) {
  const MetamerismIndex index = metamerism_index(published_pair());
  EXPECT_NEAR(index.additive_lab.de_ab, 3.8267581, 2e-3);
  EXPECT_NEAR(index.multiplicative_lab->de_ab, 3.9842216, 2e-3);
  EXPECT_NEAR(index.multiplicative_xyz->de_ab, 3.7906989, 2e-3);
  EXPECT_NEAR(index.additive_xyz.de_ab, 4.6910648, 2e-3);
  EXPECT_NEAR(index.additive_lab.de00, 2.465420, 2e-3);
  EXPECT_NEAR(index.multiplicative_lab->de00, 2.600618, 2e-3);
  EXPECT_NEAR(index.multiplicative_xyz->de00, 2.440686, 2e-3);
}

TristimulusWeights under(const std::string& light) {
  return *tristimulus_weights(WavelengthGrid::equal_steps(400, 10, 31), test::light_to_780(light),
                              Observer::deg10, Interpolation::lagrange4);
}

// By computed.mjs with 1 nm Lagrange weights, to 2e-4: the witness had D65 at 1 nm, here it
// is straight between its 5 nm. A plain sum at 10 nm would give a* -21.4091.
TEST(Metamerism, TheStandardThroughLagrangeWeights) {
  const Lab lab = *under("D65").lab(standard);
  EXPECT_NEAR(lab.L, 39.0904, 1e-4);
  EXPECT_NEAR(lab.a, -21.3154, 2e-4);
  EXPECT_NEAR(lab.b, 22.6420, 2e-4);
}

TEST(Metamerism, MatrixR) {
  const MetamerismIndex index = *metamerism_index(standard, sample, under("D65"), under("A"));
  EXPECT_NEAR(index.spectral->de_ab, 3.538540471, 2e-4);
  EXPECT_NEAR(index.spectral->de00, 2.333169, 2e-4);
}

struct UnderRow {
  const char* light;
  double de_ab, de00, index_de_ab, index_de00;
};

class UnderOtherLights : public testing::TestWithParam<UnderRow> {};

// By computed.mjs, 1 nm Lagrange weights, printed to four decimals. Fluorescent and LED
// tables have 5 nm steps and end at 780 nm; so much two programs differ.
TEST_P(UnderOtherLights, PlainDifferenceAndIndex) {
  const UnderRow& row = GetParam();
  const TristimulusWeights test = under(row.light);
  const MetamerismIndex index = *metamerism_index(standard, sample, under("D65"), test);
  EXPECT_NEAR(de_ab(*test.lab(standard), *test.lab(sample)), row.de_ab, 2e-4);
  EXPECT_NEAR(de00(*test.lab(standard), *test.lab(sample)), row.de00, 2e-4);
  EXPECT_NEAR(index.multiplicative_xyz->de_ab, row.index_de_ab, 2e-4);
  EXPECT_NEAR(index.multiplicative_xyz->de00, row.index_de00, 2e-4);
}

INSTANTIATE_TEST_SUITE_P(Golden, UnderOtherLights,
                         testing::Values(UnderRow{"A", 4.6124, 2.9629, 3.7828, 2.4372},
                                         UnderRow{"D50", 3.6488, 1.7714, 1.0314, 0.6299},
                                         UnderRow{"FL2", 4.0424, 2.6549, 4.1806, 2.8092},
                                         UnderRow{"FL11", 7.0912, 3.2276, 4.2318, 2.1234},
                                         UnderRow{"LED-B1", 6.0704, 3.1686, 3.5521, 2.1036},
                                         UnderRow{"LED-B2", 6.6738, 3.2844, 3.9518, 2.1184},
                                         UnderRow{"LED-B3", 6.7121, 2.8816, 3.7703, 1.6033},
                                         UnderRow{"LED-B4", 8.6927, 3.5109, 5.7914, 2.3015},
                                         UnderRow{"LED-B5", 9.4396, 3.7811, 6.5658, 2.5954},
                                         UnderRow{"LED-BH1", 4.9432, 2.4939, 2.3530, 1.3597},
                                         UnderRow{"LED-RGB1", 9.9720, 6.1139, 8.4721, 5.1975},
                                         UnderRow{"LED-V1", 5.3066, 2.6678, 8.2375, 4.0094},
                                         UnderRow{"LED-V2", 1.2192, 0.6015, 4.1094, 1.8648}));

TEST(Metamerism, ThePairUnderItsReference) {
  const TristimulusWeights d65 = under("D65");
  EXPECT_NEAR(de_ab(*d65.lab(standard), *d65.lab(sample)), 2.9790, 1e-4);
  EXPECT_NEAR(de00(*d65.lab(standard), *d65.lab(sample)), 1.3370, 1e-4);
}

TEST(Metamerism, ANeutralPairHasNoQuotientOfLab) {
  MetamericPair pair = published_pair();
  pair.sample_reference = {0.2 * pair.white_reference.X, 20, 0.2 * pair.white_reference.Z};
  EXPECT_FALSE(metamerism_index(pair).multiplicative_lab);
  EXPECT_TRUE(metamerism_index(pair).multiplicative_xyz);
}

TEST(Brightener, IsBluerUnderUltravioletAndSeen) {
  EXPECT_TRUE(brightener("a", {93, 1, -4}, {92, 0, 2}).flagged);
  EXPECT_FALSE(brightener("a", {93, 0, 2}, {93, 0, 2.1}).flagged);  // not seen
  EXPECT_FALSE(brightener("a", {93, 0, 6}, {93, 0, 2}).flagged);    // yellower: something else
  EXPECT_NEAR(brightener("a", {93, 1, -4}, {92, 0, 2}).db, -6, 1e-12);
}

// The rule's promise: about one false alarm in a hundred groups of sound repeats.
TEST(Outliers, RarelyCryWolf) {
  CounterRandom random(100);
  for (const std::size_t n : {3u, 4u, 5u, 10u}) {
    int alarms = 0;
    constexpr int groups = 4000;
    for (int g = 0; g < groups; ++g) {
      std::vector<Lab> repeats;
      for (std::size_t i = 0; i < n; ++i)
        repeats.push_back({80 + random.normal(), 2 + 0.3 * random.normal(), 12 + random.normal()});
      alarms += !outliers(repeats).empty();
    }
    EXPECT_LT(alarms, groups * 0.025) << n;
  }
}

}  // namespace
}  // namespace mendtone::metamerism_test
