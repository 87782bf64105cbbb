#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "fuzz/workbook_entry.hpp"

namespace mendtone::replay_workbooks_test {
namespace {

/// Every file of a fuzz target's corpus, whole and cut off anywhere. A broken promise aborts.
template <class Feed>
void replay_corpus(const char* name, Feed feed) {
  std::size_t files = 0;
  const std::string folder = MENDTONE_SOURCE_DIR "/tests/fuzz/corpus/";
  for (const auto& entry : std::filesystem::directory_iterator(folder + name)) {
    ++files;
    SCOPED_TRACE(entry.path().string());
    std::ifstream file(entry.path(), std::ios::binary);
    std::stringstream text;
    text << file.rdbuf();
    const std::string bytes = text.str();
    EXPECT_EQ(feed(bytes), 0);
    for (std::size_t n = 0; n < bytes.size(); n += 1 + bytes.size() / 16)
      EXPECT_EQ(feed(std::string_view(bytes).substr(0, n)), 0);
  }
  EXPECT_GE(files, 3u);
}

TEST(Replay, WorkbooksAndTheirGate) {
  replay_corpus("workbook", fuzz::feed_workbook);
  replay_corpus("zip", fuzz::feed_zip);
}

TEST(Replay, LampsInEveryForm) {
  replay_corpus("lamp", [](std::string_view bytes) {
    const auto file = read_lamps(bytes, "f");
    fuzz::demand(file ? !file->lamps.empty() : !file.error().message.empty(),
                 "lamps, or a reason why there are none");
    return 0;
  });
}

}  // namespace
}  // namespace mendtone::replay_workbooks_test
