#include "bench/launch.hpp"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/file.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "bench/scratch.hpp"

namespace mendtone::bench::launch_test {
namespace {

namespace fs = std::filesystem;

// The file that leads the browser to the bench holds its secret address: a bench that was killed
// leaves it, and the next one takes it away.
TEST(Launch, FoldersOfBenchesThatWereKilledAreSweptAndOthersAreNot) {
  Scratch scratch;
  const char* const before = std::getenv("TMPDIR");
  const std::string kept = before ? before : "";
  ::setenv("TMPDIR", (scratch / "").c_str(), 1);
  const auto folder = [&](const std::string& name, const std::string& file) {
    fs::create_directory(scratch / name);
    std::ofstream(scratch / name + "/" + file) << "an address";
  };
  folder("mendtone-bench-killed", "bench.html");
  folder("mendtone-bench-runs", "bench.html");
  folder("mendtone-bench-hers", "letter.txt");
  folder("another-program", "bench.html");
  fs::create_directory_symlink(scratch / "another-program", scratch / "mendtone-bench-link");
  const int lock = ::open((scratch / "mendtone-bench-runs").c_str(), O_RDONLY | O_DIRECTORY);
  ASSERT_EQ(::flock(lock, LOCK_EX), 0);
  sweep_left_over_folders();
  EXPECT_FALSE(fs::exists(scratch / "mendtone-bench-killed"));
  EXPECT_TRUE(fs::exists(scratch / "mendtone-bench-runs/bench.html"));
  EXPECT_TRUE(fs::exists(scratch / "mendtone-bench-hers/letter.txt"));
  EXPECT_TRUE(fs::exists(scratch / "another-program/bench.html"));
  ::close(lock);
  before ? ::setenv("TMPDIR", kept.c_str(), 1) : ::unsetenv("TMPDIR");
}

}  // namespace
}  // namespace mendtone::bench::launch_test
