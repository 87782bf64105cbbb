#include "mendtone/imaging/pyramid.hpp"

#include <gtest/gtest.h>

#include <map>

#include "imaging/memory_rows.hpp"
#include "mendtone/imaging/reduced.hpp"

namespace mendtone::pyramid_test {
namespace {

MemoryRows mottled(ImageSize size) {
  std::vector<std::uint16_t> codes(3 * size.pixels());
  for (std::size_t i = 0; i < codes.size(); ++i)
    codes[i] = static_cast<std::uint16_t>((i * 2654435761u) % 65536);
  return {size, std::move(codes)};
}

struct Gathered {
  std::map<int, LabPicture> levels;
  std::map<int, int> next;
};

Gathered all_levels(MemoryRows& rows, int count) {
  Gathered all;
  const auto done = pyramid(rows, count, [&](int level, int y, const LabPixels& row) {
    LabPicture& picture = all.levels[level];
    picture.size = level_size(rows.size(), level);
    EXPECT_EQ(row.size(), static_cast<std::size_t>(picture.size.width));
    EXPECT_EQ(all.next[level]++, y);
    picture.lab.L.insert(picture.lab.L.end(), row.L.begin(), row.L.end());
    picture.lab.a.insert(picture.lab.a.end(), row.a.begin(), row.a.end());
    picture.lab.b.insert(picture.lab.b.end(), row.b.begin(), row.b.end());
    return Result<void>();
  });
  EXPECT_TRUE(done);
  return all;
}

TEST(Pyramid, EveryLevelIsThePictureReduced) {
  for (const ImageSize size : {ImageSize{37, 29}, {64, 64}, {1, 9}, {130, 1}, {100, 131}}) {
    MemoryRows rows = mottled(size);
    const int count = level_count(size, 8);
    Gathered all = all_levels(rows, count);
    ASSERT_EQ(all.levels.size(), static_cast<std::size_t>(count));
    for (const auto& [level, picture] : all.levels) {
      const auto expected = reduced(rows, {0, 0, size}, 1 << level);
      ASSERT_TRUE(expected);
      ASSERT_EQ(picture.size, expected->size) << level;
      ASSERT_EQ(picture.lab.size(), expected->lab.size()) << level;
      // Sums of floats in another order.
      for (std::size_t i = 0; i < picture.lab.size(); ++i) {
        ASSERT_NEAR(picture.lab.L[i], expected->lab.L[i], 2e-3) << level << ' ' << i;
        ASSERT_NEAR(picture.lab.a[i], expected->lab.a[i], 4e-3) << level << ' ' << i;
        ASSERT_NEAR(picture.lab.b[i], expected->lab.b[i], 4e-3) << level << ' ' << i;
      }
    }
  }
}

TEST(Pyramid, LevelsGoDownToOneTile) {
  EXPECT_EQ(level_count({256, 256}, 256), 1);
  EXPECT_EQ(level_count({257, 10}, 256), 2);
  EXPECT_EQ(level_count({11600, 8700}, 256), 7);
  EXPECT_EQ(level_size({257, 10}, 1), (ImageSize{129, 5}));
  EXPECT_EQ(level_size({1, 1}, 20), (ImageSize{1, 1}));
}

TEST(Pyramid, NoMoreThanSomeRowsAreReadAtOnce) {
  MemoryRows rows = mottled({5, 1000});
  all_levels(rows, 8);
  EXPECT_LE(rows.most_rows_at_once(), 64);
}

TEST(Pyramid, ARefusalEndsIt) {
  MemoryRows rows = mottled({20, 20});
  int taken = 0;
  const auto done = pyramid(rows, 2, [&](int, int, const LabPixels&) -> Result<void> {
    if (++taken == 5) return outside_world("the disk is full");
    return {};
  });
  ASSERT_FALSE(done);
  EXPECT_EQ(done.error().message, "the disk is full");
  EXPECT_EQ(taken, 5);
}

}  // namespace
}  // namespace mendtone::pyramid_test
