#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "mendtone/colour/weights.hpp"
#include "mendtone/formats/read.hpp"

namespace mendtone::packages_test {
namespace {

// Files of the Debian package colord-data 1.4.6 (GPL-2+), read where the package puts them and not
// copied: CGATS text of another program's making.
Result<ReadFile> package_file(const std::string& name) {
  std::ifstream file("/usr/share/colord/" + name, std::ios::binary);
  EXPECT_TRUE(file) << name << ": is colord-data (tests/packages) installed?";
  std::stringstream text;
  text << file.rdbuf();
  return read_readings(text.str(), name);
}

TEST(Packages, TestColourSamplesAreReadings) {
  const auto file = package_file("ref/CIE-TCS.sp");
  ASSERT_TRUE(file) << file.error().text();
  ASSERT_EQ(file->readings.size(), 15u);
  EXPECT_EQ(file->readings[0].name, "TCS01");
  EXPECT_EQ(file->readings[0].spectrum->grid, WavelengthGrid::equal_steps(360, 5, 95));
  // CIE 13.3 gives test colours 1-8 the Munsell value 6. Read as 'nearer to 6 than to the half
  // steps beside it', 5.75-6.25, it is Y = 26.55-32.21 under C and 2 degrees by the polynomial of
  // ASTM D1535; notation and polynomial from memory.
  const auto weights =
      tristimulus_weights(file->readings[0].spectrum->grid, *standard_light("C"), Observer::deg2);
  for (std::size_t i = 0; i < 8; ++i) {
    const double Y = weights->xyz(file->readings[i].spectrum->value)->Y;
    EXPECT_GT(Y, 26.55) << i;
    EXPECT_LT(Y, 32.21) << i;
  }
}

TEST(Packages, LampsObserversAndTargetsAreNoReadings) {
  const std::pair<const char*, const char*> files[] = {
      {"illuminant/CIE-A.sp", "spectral power"},
      {"illuminant/CIE-E.sp", "spectral power"},
      {"illuminant/CIE-F11.sp", "spectral power"},
      {"cmf/CIE1931-2deg-XYZ.cmf", "colour matching functions"},
      {"ti1/printer-short.ti1", "XYZ without its light and observer"}};
  for (const auto& [name, found] : files) {
    const auto file = package_file(name);
    ASSERT_FALSE(file) << name;
    EXPECT_NE(file.error().text().find("no reading in"), std::string::npos) << name;
    EXPECT_NE(file.error().text().find(found), std::string::npos) << file.error().text();
  }
}

}  // namespace
}  // namespace mendtone::packages_test
