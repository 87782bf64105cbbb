#pragma once
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace mendtone::fuzz {

/// Every file of a corpus folder through a target's entry function, whole and cut off anywhere. A
/// broken promise aborts.
template <class Feed>
void replay(const std::string& folder, Feed feed) {
  std::size_t files = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (!entry.is_regular_file()) continue;
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
  EXPECT_GE(files, 3u) << folder;
}

}  // namespace mendtone::fuzz
