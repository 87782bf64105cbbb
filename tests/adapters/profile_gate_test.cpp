#include <gtest/gtest.h>

#include "adapters/pictures.hpp"
#include "mendtone/adapters/icc.hpp"

namespace mendtone::profile_gate_test {
namespace {

std::string refusal(const std::string& bytes, int channels = 3) {
  const auto profile = open_profile(bytes, channels);
  return profile ? "" : profile.error().message;
}

TEST(ProfileGate, LetsGoodProfilesThrough) {
  EXPECT_EQ(refusal(pictures::srgb()), "");
  EXPECT_EQ(refusal(pictures::wide(2.1)), "");
  EXPECT_EQ(refusal(pictures::wide(4.3)), "");
  EXPECT_EQ(refusal(pictures::grey(), 1), "");
  EXPECT_EQ(refusal(srgb_profile()), "");
}

TEST(ProfileGate, RefusesWithTheReason) {
  const std::string good = pictures::srgb();
  EXPECT_NE(refusal("").find("132 bytes"), std::string::npos);
  EXPECT_NE(refusal(std::string(500, 'x')).find("acsp"), std::string::npos);
  EXPECT_NE(refusal(good.substr(0, good.size() - 4)).find("cut short"), std::string::npos);
  std::string version = good;
  version[8] = 7;
  EXPECT_NE(refusal(version).find("version 7"), std::string::npos);
  std::string link = good;
  link.replace(12, 4, "link");
  EXPECT_NE(refusal(link).find("device link"), std::string::npos);
  std::string space = good;
  space.replace(16, 4, "CMYK");
  EXPECT_NE(refusal(space).find("contradicts"), std::string::npos);
  std::string outside = good;
  outside.replace(128 + 4 + 4, 4, "\x7f\xff\xff\xff", 4);
  EXPECT_NE(refusal(outside).find("outside the profile"), std::string::npos);
  EXPECT_NE(refusal(pictures::grey(), 3).find("contradicts"), std::string::npos);
}

// Bytes changed at random: whatever passes must give colours that are numbers.
TEST(ProfileGate, NoSpoiltProfileGivesNonsense) {
  CounterRandom random(3);
  const std::string good = pictures::wide(4.3);
  int passed = 0;
  for (int round = 0; round < 300; ++round) {
    std::string bytes = good;
    for (int i = 0; i < 3; ++i)
      bytes[random.below(static_cast<std::uint32_t>(bytes.size()))] =
          static_cast<char>(random.below(256));
    const auto profile = open_profile(bytes, 3);
    if (!profile) continue;
    ++passed;
    const std::vector<std::uint16_t> codes{0, 0, 0, 65535, 65535, 65535, 30000, 20000, 10000};
    float L[3], a[3], b[3];
    profile->transform->to_lab({codes.data(), nullptr, 3, 3}, L, a, b);
    for (int i = 0; i < 3; ++i) EXPECT_TRUE(std::isfinite(L[i] + a[i] + b[i]));
  }
  EXPECT_GT(passed, 0);
}

}  // namespace
}  // namespace mendtone::profile_gate_test
