#include "mendtone/app/record/means.hpp"

#include <gtest/gtest.h>

namespace mendtone::app::means_test {
namespace {

record::Kept<record::KeptReading> pressed(record::Id id, const std::string& name, double R) {
  record::Kept<record::KeptReading> kept;
  kept.id = id;
  kept.value.reading.name = name;
  kept.value.reading.spectrum = Spectrum{WavelengthGrid::equal_steps(400, 100, 4), {R, R, R, R}};
  return kept;
}

TEST(Means, RepeatsOfOneNameAndNeverOfTwo) {
  const auto means = means_of({pressed(1, "margin", 0.70), pressed(2, "title", 0.50),
                               pressed(3, "margin", 0.72), pressed(4, "title", 0.54)});
  ASSERT_EQ(means.size(), 2u);
  EXPECT_EQ(means[0].of, (std::vector<record::Id>{1, 3}));
  EXPECT_NEAR(means[0].reading.spectrum->value[0], 0.71, 1e-15);
  EXPECT_EQ(means[1].of, (std::vector<record::Id>{2, 4}));
  EXPECT_NEAR(means[1].reading.spectrum->value[0], 0.52, 1e-15);
}

}  // namespace
}  // namespace mendtone::app::means_test
