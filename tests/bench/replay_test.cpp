#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <iterator>

#include "fuzz/bench_entry.hpp"

// The fuzz target's corpus, with every request cut short and with a byte changed besides.
namespace mendtone::bench::replay_test {
namespace {

std::string contents(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

TEST(Replay, EveryRequestOfTheCorpusKeepsThePromises) {
  std::size_t requests = 0;
  for (const auto& entry :
       std::filesystem::directory_iterator(MENDTONE_SOURCE_DIR "/tests/bench/corpus")) {
    const std::string bytes = contents(entry.path());
    fuzz::feed_bench(bytes);
    for (std::size_t i = 0; i < bytes.size(); i += 7) {
      fuzz::feed_bench(bytes.substr(0, i));
      std::string changed = bytes;
      changed[i] = static_cast<char>(changed[i] ^ (1 << (i % 7)));
      fuzz::feed_bench(changed);
    }
    ++requests;
  }
  EXPECT_GE(requests, 20u);
}

}  // namespace
}  // namespace mendtone::bench::replay_test
