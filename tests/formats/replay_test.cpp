#include "fuzz/replay.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "fuzz/entry.hpp"
#include "fuzz/json_entry.hpp"
#include "fuzz/lamp_entry.hpp"

namespace mendtone::replay_test {
namespace {

std::string bytes_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

/// Every corpus file through its own format's reader, through every other one's, and through the
/// whole way in. The promises are in fuzz/entry.hpp; a broken one aborts.
TEST(Replay, TheWholeCorpus) {
  const std::filesystem::path corpus = MENDTONE_SOURCE_DIR "/tests/formats/corpus";
  std::size_t files = 0;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(corpus)) {
    if (!entry.is_regular_file()) continue;
    ++files;
    SCOPED_TRACE(entry.path().string());
    const std::string bytes = bytes_of(entry.path());
    for (const char* format : {"csv", "cgats", "cxf", "jcamp", ""})
      EXPECT_EQ(fuzz::feed(format, bytes), 0);
    // Cut off anywhere, a file is read or refused.
    for (std::size_t n = 0; n < bytes.size(); n += 1 + bytes.size() / 16)
      EXPECT_EQ(fuzz::feed("", std::string_view(bytes).substr(0, n)), 0);
  }
  EXPECT_GE(files, 20u);
}

TEST(Replay, JsonAndLamps) {
  fuzz::replay(MENDTONE_SOURCE_DIR "/tests/fuzz/corpus/json", fuzz::feed_json);
  fuzz::replay(MENDTONE_SOURCE_DIR "/tests/fuzz/corpus/lamp", fuzz::feed_lamp);
}

}  // namespace
}  // namespace mendtone::replay_test
