#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <map>
#include <set>
#include <thread>

#include "long_runs.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "record_samples.hpp"
#include "scratch.hpp"

namespace mendtone::sqlite_locks_test {
namespace {

using namespace record;

/// Opens, enters, closes, as a page does for each of its calls; says each name that was
/// acknowledged, and each refusal after a '!'.
void enter_until(const std::string& path, const std::string& who,
                 std::chrono::steady_clock::time_point end, int pipe) {
  for (int number = 0; std::chrono::steady_clock::now() < end; ++number) {
    Sheet sheet = chart();
    sheet.name = who + "-" + std::to_string(number);
    auto store = open_record(path, Opening::must_exist);
    const auto kept = store ? add(**store, sheet, entry()) : Result<Id>(store.error());
    const std::string line = (kept ? sheet.name : "!" + kept.error().text()) + "\n";
    if (::write(pipe, line.data(), line.size()) < 0) ::_exit(3);
  }
}

/// A process with several writers, each a connection of its own.
pid_t start_writers(const std::string& path, const std::string& who, int writers,
                    std::chrono::steady_clock::time_point end, int pipe) {
  const pid_t child = ::fork();
  if (child != 0) return child;
  std::vector<std::thread> threads;
  for (int writer = 0; writer < writers; ++writer)
    threads.emplace_back(enter_until, path, who + std::to_string(writer), end, pipe);
  for (std::thread& thread : threads) thread.join();
  ::_exit(0);
}

std::string all_of(int pipe) {
  std::string text;
  char piece[4096];
  for (ssize_t got = 0; (got = ::read(pipe, piece, sizeof piece)) > 0;)
    text.append(piece, static_cast<std::size_t>(got));
  return text;
}

/// Two programs with three writers each, and a third that opens, writes and closes: each name that
/// was acknowledged is there, once, and nobody was told of a fault that there was not.
TEST(SqliteLocks, NothingIsLostBetweenProgramsOfSeveralWriters) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record");
  ASSERT_TRUE(open_record(path, Opening::create_if_missing));
  int ends[2];
  ASSERT_EQ(::pipe(ends), 0);
  const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(test::count(30, 3));
  std::vector<pid_t> children;
  for (const auto& [who, writers] : {std::pair{"a", 3}, {"b", 3}, {"c", 1}})
    children.push_back(start_writers(path, who, writers, end, ends[1]));
  ::close(ends[1]);
  std::set<std::string> acknowledged;
  std::istringstream lines(all_of(ends[0]));
  ::close(ends[0]);
  for (std::string line; std::getline(lines, line);) {
    if (line.front() == '!')
      ADD_FAILURE() << "a false alarm: " << line.substr(1);
    else
      EXPECT_TRUE(acknowledged.insert(line).second) << line;
  }
  for (const pid_t child : children) {
    int status = 0;
    ::waitpid(child, &status, 0);
    EXPECT_EQ(status, 0);
  }
  auto store = open_record(path, Opening::must_exist);
  ASSERT_TRUE(store) << store.error().text();
  std::map<std::string, int> kept;
  const auto sheets = current<Sheet>(**store);
  ASSERT_TRUE(sheets);
  for (const auto& sheet : *sheets) ++kept[sheet.value.name];
  std::size_t missing = 0;
  for (const std::string& name : acknowledged) missing += kept[name] == 1 ? 0 : 1;
  EXPECT_EQ(missing, 0u) << "of " << acknowledged.size() << " acknowledged";
  EXPECT_GT(acknowledged.size(), 50u) << "too few to say much";
  EXPECT_TRUE(check_record_file(path)->empty());
}

}  // namespace
}  // namespace mendtone::sqlite_locks_test
