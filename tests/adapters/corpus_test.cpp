#include <gtest/gtest.h>

#include <sstream>

#include "adapters/scratch.hpp"
#include "fuzz/profile_entry.hpp"
#include "mendtone/adapters/photograph.hpp"

// Small files kept in tests/adapters/corpus, fit and unfit; expected.csv says what is to become of
// each and words that must be said.
namespace mendtone::corpus_test {
namespace {

const std::string corpus = MENDTONE_SOURCE_DIR "/tests/adapters/corpus/";

struct Case {
  std::string file, outcome, words;
};

std::vector<Case> cases(const std::string& folder) {
  std::istringstream lines(contents(corpus + folder + "/expected.csv"));
  std::vector<Case> all;
  for (std::string line; std::getline(lines, line);) {
    if (line.empty() || line[0] == '#' || line.rfind("file,", 0) == 0) continue;
    const std::size_t one = line.find(','), two = line.find(',', one + 1);
    all.push_back({line.substr(0, one), line.substr(one + 1, two - one - 1), line.substr(two + 1)});
  }
  EXPECT_EQ(all.size() + 1, files_in(corpus + folder)) << "a file that expected.csv does not name";
  return all;
}

/// The refusal; or, where the picture is read to its end, its warnings.
std::string said_of(const std::string& path, bool& read) {
  read = false;
  auto photograph = Photograph::open(path);
  if (!photograph) return photograph.error().text();
  CodedRows rows;
  const int height = (*photograph)->size().height;
  // By few rows, so that a huge claim takes no memory before it is found out.
  for (int y = 0; y < height; y += 16)
    if (const auto got = (*photograph)->read(y, std::min(height, y + 16), rows); !got)
      return got.error().text();
  read = true;
  std::string said;
  for (const std::string& warning : (*photograph)->facts().warnings) said += warning + "\n";
  return said;
}

TEST(Corpus, EveryPictureIsReadOrRefusedWithItsReason) {
  std::size_t read_ones = 0, refused = 0;
  for (const Case& c : cases("pictures")) {
    bool read = false;
    const std::string said = said_of(corpus + "pictures/" + c.file, read);
    EXPECT_EQ(read ? "read" : "refused", c.outcome) << c.file << ": " << said;
    EXPECT_NE(said.find(c.words), std::string::npos) << c.file << ": " << said;
    EXPECT_TRUE(read || said.find(c.file) != std::string::npos) << "no file is named: " << said;
    ++(read ? read_ones : refused);
  }
  EXPECT_GE(read_ones, 15u);
  EXPECT_GE(refused, 25u);
}

TEST(Corpus, EveryProfileIsTakenOrRefusedWithItsReason) {
  for (const Case& c : cases("profiles")) {
    const std::string bytes = contents(corpus + "profiles/" + c.file);
    const auto profile = open_profile(bytes, c.file == "grey.icc" ? 1 : 3);
    EXPECT_EQ(profile ? "read" : "refused", c.outcome)
        << c.file << (profile ? "" : ": " + profile.error().text());
    const std::string said = profile ? "" : profile.error().text();
    EXPECT_TRUE(profile || said.find(c.words) != std::string::npos) << c.file << ": " << said;
    EXPECT_EQ(fuzz::feed_profile(bytes), 0);
    // Cut off anywhere it is refused or sound.
    for (std::size_t n = 0; n < bytes.size(); n += 7)
      EXPECT_EQ(fuzz::feed_profile(std::string_view(bytes).substr(0, n)), 0);
  }
}

// Bytes changed at random, as a failing disk does: read or refused, never a crash.
TEST(Corpus, SpoiltPicturesAreReadOrRefused) {
  Scratch scratch;
  std::uint32_t state = 1894;
  const auto random = [&](std::size_t below) {
    state = state * 1664525u + 1013904223u;
    return static_cast<std::size_t>(state >> 8) % below;
  };
  for (const Case& c : cases("pictures")) {
    const std::string bytes = contents(corpus + "pictures/" + c.file);
    if (bytes.size() < 100) continue;
    const std::string path = scratch.file(c.file);
    for (int round = 0; round < 6; ++round) {
      std::string spoilt = bytes;
      // Half of the changes near the ends, where the structure stands.
      for (int i = 0; i < 3; ++i)
        spoilt[round % 2 == 0 ? random(spoilt.size())
                              : (i % 2 == 0 ? 30 + random(30) : spoilt.size() - 1 - random(90))] =
            static_cast<char>(random(256));
      write_contents(path, spoilt);
      auto photograph = Photograph::open(path);
      if (!photograph) continue;
      CodedRows rows;
      const ImageSize size = (*photograph)->size();
      if (size.width > 4096) continue;
      (void)(*photograph)->read(0, std::min(size.height, 64), rows);
    }
  }
}

}  // namespace
}  // namespace mendtone::corpus_test
