#include "mendtone/imaging/ground.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "imaging/memory_rows.hpp"
#include "mendtone/base/random.hpp"

namespace mendtone {
namespace {

constexpr int width = 300, height = 200;

/// The code of a neutral of this lightness in `plain_rgb`, whose curve is a power of 2.2.
double code_of(double L) {
  return 65535 * std::pow(std::pow((L + 16) / 116, 3), 1 / 2.2);
}

/// Paper of L* 80 and, for a share of the pixels, of L* `other`; each channel strays on its own.
MemoryRows speckled(double other, double share, double strays) {
  CounterRandom random(11);
  std::vector<std::uint16_t> codes;
  for (int i = 0; i < width * height; ++i) {
    const double code = code_of(random.uniform() < share ? other : 80);
    for (int channel = 0; channel < 3; ++channel)
      codes.push_back(static_cast<std::uint16_t>(code + strays * random.normal()));
  }
  return MemoryRows({width, height}, std::move(codes));
}

GroundAnalysis analysed(MemoryRows rows) {
  return analyse_ground(rows, whole_picture({width, height}), {}).value();
}

// Reweighted minimum covariance determinant at 97.5 %: of a ground that strays normally along three
// axes, so many pixels are kept (Rousseeuw and Van Driessen 1999). 60,000 pixels stray by 0.0006;
// the curve from code to lightness bends a little.
TEST(Ground, KeepsNinetySevenAndAHalfPercentOfANormalGround) {
  const GroundAnalysis found = analysed(speckled(80, 0, 250));
  EXPECT_NEAR(found.ground.share, 0.975, 0.003);
  EXPECT_NEAR(found.ground.median.L, 80, 0.05);
}

// A second paper seven units darker is another ground, however much of the region it takes: what
// lies within five units of the commonest colour is all that the first look counts.
TEST(Ground, KeepsOutAnotherPaperSevenUnitsAway) {
  const GroundAnalysis found = analysed(speckled(73, 0.45, 60));
  EXPECT_NEAR(found.ground.share, 0.55 * 0.975, 0.01);
  EXPECT_NEAR(found.ground.median.L, 80, 0.05);
  ASSERT_FALSE(found.foreign.empty());
  EXPECT_NEAR(found.foreign[0].share, 0.45, 0.01);
  EXPECT_NEAR(found.foreign[0].median.L, 73, 0.1);
}

}  // namespace
}  // namespace mendtone
