#include "mendtone/imaging/region.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace mendtone::region_test {
namespace {

constexpr ImageSize picture{60, 40};

TEST(Regions, RectanglesAndPolygonsAgree) {
  const auto r = rectangle_region("r", 10, 5, 20, 8, picture);
  const auto p = polygon_region("p", {{10, 5}, {30, 5}, {30, 13}, {10, 13}}, picture);
  ASSERT_TRUE(r && p);
  EXPECT_EQ(r->rows, p->rows);
  EXPECT_EQ(r->pixels(), 160u);
}

TEST(Regions, RefusesWhatLeavesThePicture) {
  EXPECT_FALSE(rectangle_region("r", 50, 0, 11, 5, picture));
  EXPECT_FALSE(rectangle_region("r", -1, 0, 5, 5, picture));
  EXPECT_FALSE(rectangle_region("r", 1, 0, 2147483647, 5, picture));
  EXPECT_FALSE(rectangle_region("r", 0, 0, 0, 5, picture));
  EXPECT_FALSE(polygon_region("p", {{0, 0}, {70, 0}, {0, 10}}, picture));
  EXPECT_FALSE(polygon_region("p", {{0, 0}, {10, 0}}, picture));
  EXPECT_FALSE(polygon_region("p", {{NAN, 0}, {10, 0}, {0, 10}}, picture));
}

// Against the plainest way: every pixel against every pixel.
TEST(Regions, RingDistancesAreExact) {
  std::vector<std::uint8_t> inside(picture.pixels());
  const auto at = [](int x, int y) { return static_cast<std::size_t>(y * picture.width + x); };
  for (const auto& [x, y] : {std::pair{20, 20}, {21, 20}, {22, 21}, {35, 12}, {36, 13}})
    inside[at(x, y)] = 1;
  const Region loss = mask_region("loss", inside, picture);
  const auto ring = ring_region("ring", loss, 2, 7.5, picture);
  ASSERT_TRUE(ring);
  std::size_t expected = 0;
  for (int y = 0; y < picture.height; ++y)
    for (int x = 0; x < picture.width; ++x) {
      double nearest = 1e9;
      for (int v = 0; v < picture.height; ++v)
        for (int u = 0; u < picture.width; ++u)
          if (inside[at(u, v)]) nearest = std::min(nearest, std::hypot(u - x, v - y));
      const bool wanted = nearest > 2 && nearest <= 7.5;
      expected += wanted;
      bool found = false;
      for (const Span& span : ring->at(y)) found = found || (span.x0 <= x && x < span.x1);
      ASSERT_EQ(found, wanted) << x << ", " << y;
    }
  EXPECT_EQ(ring->pixels(), expected);
}

TEST(Regions, RefusesARingThatIsNone) {
  const Region loss = whole_picture(picture);
  EXPECT_FALSE(ring_region("ring", loss, 1, 5, picture));
  EXPECT_FALSE(ring_region("ring", loss, 5, 1, picture));
}

}  // namespace
}  // namespace mendtone::region_test
