#include <chrono>
#include <map>
#include <mutex>
#include <nlohmann/json.hpp>
#include <set>
#include <thread>

#include "bench/client.hpp"
#include "bench/program.hpp"
#include "bench/scratch.hpp"
#include "long_runs.hpp"
#include "mendtone/adapters/record_seals.hpp"
#include "mendtone/adapters/sqlite_store.hpp"

// Everything that may be at work on one record, at once, as real programs.
namespace mendtone::bench::stress_test {
namespace {

using Clock = std::chrono::steady_clock;

/// What all that write have been told, and what went wrong.
class Told {
 public:
  void kept(const std::string& name) {
    const std::lock_guard lock(mutex_);
    EXPECT_TRUE(kept_.insert(name).second) << name;
  }
  void alarm(const std::string& what) {
    const std::lock_guard lock(mutex_);
    alarms_.push_back(what);
  }
  const std::set<std::string>& all_kept() const { return kept_; }
  const std::vector<std::string>& alarms() const { return alarms_; }

 private:
  std::mutex mutex_;
  std::set<std::string> kept_;
  std::vector<std::string> alarms_;
};

/// Where a page is; it may be killed and started again meanwhile.
class Page {
 public:
  Page(const Scratch& scratch, std::string record) : scratch_(scratch), record_(std::move(record)) {
    start();
  }
  Printed place() const {
    const std::lock_guard lock(mutex_);
    return place_;
  }
  void kill_and_start() {
    const std::lock_guard lock(mutex_);
    ++killed_;
    program_.reset();  // by SIGKILL
    start();
  }
  int killed() const { return killed_; }
  std::string errors() const { return program_->errors(); }

 private:
  void start() {
    program_ = std::make_unique<Program>(scratch_, opening(record_));
    place_ = parts_of(program_->line());
  }

  const Scratch& scratch_;
  std::string record_;
  mutable std::mutex mutex_;
  std::unique_ptr<Program> program_;
  Printed place_;
  std::atomic<int> killed_{0};
};

std::string note(const std::string& text) {
  return nlohmann::json{{"kind", "note"}, {"columns", {{"text", text}}}, {"by", "K. Bay"}}.dump();
}

/// One who enters on a page. No reply at all is a page that was killed: nothing was promised.
void enter_on(Page& page, const std::string& who, Clock::time_point end, Told& told) {
  for (int number = 0; Clock::now() < end; ++number) {
    const std::string name = who + " " + std::to_string(number), body = note(name);
    const int killed = page.killed();
    const Printed at = page.place();
    Client client(at.port);
    client.say(head(at, "POST /" + at.secret + "/api/keep",
                    "Content-Type: application/json\r\nContent-Length: " +
                        std::to_string(body.size()) + "\r\n") +
               body);
    const std::string reply = client.reply();
    if (status_of(reply) == 200)
      told.kept(name);
    else if (!reply.empty() || page.killed() == killed)
      told.alarm(who + ": " + (reply.empty() ? "no reply" : reply));
  }
}

void enter_by_command(const Scratch& scratch, const std::string& record, Clock::time_point end,
                      Told& told) {
  for (int number = 0; Clock::now() < end; ++number) {
    const std::string name = "command " + std::to_string(number);
    Program program(scratch, {"record", "note", name, "--record", record, "--by", "K. Bay"});
    program.all();
    if (program.exit_code() == 0)
      told.kept(name);
    else
      told.alarm("record note: " + program.errors());
  }
}

void run_again_and_again(const Scratch& scratch, const std::vector<std::string>& words,
                         bool with_new_file, Clock::time_point end, Told& told, int& times) {
  for (; Clock::now() < end; ++times) {
    std::vector<std::string> all = words;
    if (with_new_file) all.push_back(scratch / ("backup-" + std::to_string(times)));
    Program program(scratch, all);
    const std::string said = program.all();
    if (program.exit_code() != 0) told.alarm(words[1] + ": " + said + program.errors());
  }
}

TEST(BenchStress, PagesCommandsRecheckAndBackupAtOnce) {
  Scratch scratch;
  const std::string record = scratch / "lab.record";
  ASSERT_TRUE(new_record(record));
  Page one(scratch, record), other(scratch, record);
  Told told;
  int rechecks = 0, backups = 0;
  const auto length = std::chrono::seconds(test::count(60, 10));
  const auto end = Clock::now() + length;
  std::vector<std::thread> threads;
  for (const std::string who : {"a", "b"}) {
    threads.emplace_back([&, who] { enter_on(one, "first page " + who, end, told); });
    threads.emplace_back([&, who] { enter_on(other, "other page " + who, end, told); });
  }
  threads.emplace_back([&] { enter_by_command(scratch, record, end, told); });
  threads.emplace_back([&] {
    run_again_and_again(scratch, {"record", "recheck", "--record", record}, false, end, told,
                        rechecks);
  });
  threads.emplace_back([&] {
    run_again_and_again(scratch, {"record", "backup", "--record", record}, true, end, told,
                        backups);
  });
  std::this_thread::sleep_for(length / 2);
  other.kill_and_start();
  for (std::thread& thread : threads) thread.join();

  for (const std::string& alarm : told.alarms()) ADD_FAILURE() << "a false alarm: " << alarm;
  auto store = open_record(record, Opening::must_exist);
  ASSERT_TRUE(store) << store.error().text();
  std::map<std::string, int> there;
  const auto notes = record::current<record::Note>(**store);
  ASSERT_TRUE(notes);
  for (const auto& kept : *notes) ++there[kept.value.text];
  for (const auto& [text, count] : there) EXPECT_EQ(count, 1) << text;
  for (const std::string& text : told.all_kept()) EXPECT_EQ(there.count(text), 1u) << text;
  // What was under way when the page was killed may be there or not.
  EXPECT_LE(there.size(), told.all_kept().size() + 2);
  EXPECT_EQ(*check_record_file(record), std::vector<std::string>());
  EXPECT_EQ(check_seals(record)->breaks, std::vector<std::string>());
  EXPECT_GT(told.all_kept().size(), 20u) << "too few to say much";
  EXPECT_GT(rechecks, 0);
  ASSERT_GT(backups, 0);
  const std::string last = scratch / ("backup-" + std::to_string(backups - 1));
  EXPECT_EQ(*check_record_file(last), std::vector<std::string>());
  const auto head = check_seals(last);
  ASSERT_TRUE(head);
  EXPECT_EQ(check_seals(record, {head->head})->known.front().verdict,
            SealReport::Known::Verdict::fits);
}

}  // namespace
}  // namespace mendtone::bench::stress_test
