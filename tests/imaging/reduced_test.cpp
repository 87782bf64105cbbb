#include "mendtone/imaging/reduced.hpp"

#include <gtest/gtest.h>

#include "imaging/memory_rows.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/imaging/planar.hpp"

namespace mendtone::reduced_test {
namespace {

constexpr ImageSize size{53, 71};

MemoryRows noise() {
  CounterRandom random(12);
  std::vector<std::uint16_t> codes(size.pixels() * 3);
  for (auto& code : codes) code = static_cast<std::uint16_t>(random.below(65536));
  return MemoryRows(size, std::move(codes));
}

Lab at(const LabPicture& p, int x, int y) {
  const std::size_t i = static_cast<std::size_t>(y) * static_cast<std::size_t>(p.size.width) +
                        static_cast<std::size_t>(x);
  return {p.lab.L[i], p.lab.a[i], p.lab.b[i]};
}

// The mean of the light in double precision is the oracle; the last column and row have fewer.
TEST(Reduced, EachPixelIsTheMeanLightOfItsSquare) {
  MemoryRows picture = noise();
  const auto whole = reduced(picture, {0, 0, size}, 1);
  ASSERT_TRUE(whole);
  for (const int factor : {2, 7, 40, 100}) {
    const auto small = reduced(picture, {0, 0, size}, factor);
    ASSERT_TRUE(small) << small.error().text();
    ASSERT_EQ(small->size.width, (size.width + factor - 1) / factor);
    ASSERT_EQ(small->size.height, (size.height + factor - 1) / factor);
    for (int y = 0; y < small->size.height; ++y)
      for (int x = 0; x < small->size.width; ++x) {
        Xyz mean;
        double n = 0;
        for (int v = y * factor; v < std::min(size.height, (y + 1) * factor); ++v)
          for (int u = x * factor; u < std::min(size.width, (x + 1) * factor); ++u, ++n) {
            const Xyz t = lab_to_xyz(at(*whole, u, v), image_white);
            mean = {mean.X + t.X, mean.Y + t.Y, mean.Z + t.Z};
          }
        const Lab expected = xyz_to_lab({mean.X / n, mean.Y / n, mean.Z / n}, image_white);
        ASSERT_LT(de00(expected, at(*small, x, y)), 0.001);
      }
  }
}

TEST(Reduced, PiecesFitTogetherBitForBit) {
  MemoryRows picture = noise();
  const auto whole = reduced(picture, {0, 0, size}, 4);
  const auto piece = reduced(picture, {20, 32, {33, 39}}, 4);
  ASSERT_TRUE(whole && piece);
  for (int y = 0; y < piece->size.height; ++y)
    for (int x = 0; x < piece->size.width; ++x) {
      const Lab one = at(*whole, x + 5, y + 8), two = at(*piece, x, y);
      ASSERT_TRUE(one.L == two.L && one.a == two.a && one.b == two.b);
    }
}

TEST(Reduced, FewRowsAreHeldAtATime) {
  MemoryRows picture = noise();
  ASSERT_TRUE(reduced(picture, {0, 0, size}, 5));
  EXPECT_LE(picture.most_rows_at_once(), 32);
}

TEST(Reduced, RefusesWhatHoldsNothing) {
  MemoryRows picture = noise();
  EXPECT_FALSE(reduced(picture, {0, 0, size}, 0));
  EXPECT_FALSE(reduced(picture, {0, 0, {0, 5}}, 2));
  EXPECT_FALSE(reduced(picture, {-1, 0, {5, 5}}, 2));
  EXPECT_FALSE(reduced(picture, {50, 0, {4, 5}}, 2));
  EXPECT_FALSE(reduced(picture, {0, 0, {2147483647, 5}}, 2));
}

}  // namespace
}  // namespace mendtone::reduced_test
