#include "bench/jobs.hpp"

#include <gtest/gtest.h>

#include <future>
#include <stdexcept>

namespace mendtone::bench::jobs_test {
namespace {

/// Asks again until the job is in one of the states that do not change.
JobFacts ended(const Jobs& jobs, std::int64_t job) {
  while (true) {
    const auto facts = jobs.one(job);
    if (facts->state != JobState::waiting && facts->state != JobState::running) return *facts;
    std::this_thread::yield();
  }
}

/// A job that runs until it is let go.
struct Held {
  std::promise<void> began, go;
  std::shared_future<void> may_go = go.get_future().share();
  Work work() {
    return [this](Watch& watch) -> Result<std::string> {
      began.set_value();
      may_go.wait();
      if (auto going = watch.step("second half", 0.5); !going) return going.error();
      return std::string("1");
    };
  }
};

TEST(Jobs, AResultIsKeptUntilItIsAskedFor) {
  Jobs jobs(1);
  const auto job = jobs.start("tone", [](Watch&) { return Result<std::string>("{\"a\":1}"); });
  ASSERT_TRUE(job);
  const JobFacts facts = ended(jobs, *job);
  EXPECT_EQ(facts.state, JobState::done);
  EXPECT_EQ(facts.verb, "tone");
  EXPECT_EQ(facts.result, "{\"a\":1}");
}

TEST(Jobs, ARefusalAndAFaultEndOneJobOnly) {
  Jobs jobs(1);
  const auto refused = jobs.start(
      "a", [](Watch&) -> Result<std::string> { return bad_input("expected bands", "x.csv"); });
  const auto thrown =
      jobs.start("b", [](Watch&) -> Result<std::string> { throw std::runtime_error("a fault"); });
  const auto sound = jobs.start("c", [](Watch&) { return Result<std::string>("1"); });
  EXPECT_EQ(ended(jobs, *refused).error.message, "expected bands");
  EXPECT_EQ(ended(jobs, *thrown).state, JobState::failed);
  EXPECT_EQ(ended(jobs, *sound).state, JobState::done);
}

TEST(Jobs, ARunningJobIsCancelledAtItsNextStepAndNothingComesOfIt) {
  Jobs jobs(1);
  Held held;
  const auto job = jobs.start("wash", held.work());
  held.began.get_future().wait();
  EXPECT_EQ(jobs.one(*job)->state, JobState::running);
  EXPECT_TRUE(jobs.cancel(*job));
  EXPECT_NE(jobs.one(*job)->message.find("being cancelled"), std::string::npos);
  held.go.set_value();
  const JobFacts facts = ended(jobs, *job);
  EXPECT_EQ(facts.state, JobState::cancelled);
  EXPECT_EQ(facts.result, "");
}

TEST(Jobs, AWaitingJobIsCancelledAtOnceAndNeverRuns) {
  Jobs jobs(1);
  Held held;
  bool ran = false;
  const auto first = jobs.start("a", held.work());
  held.began.get_future().wait();
  const auto second = jobs.start("b", [&](Watch&) {
    ran = true;
    return Result<std::string>("1");
  });
  EXPECT_EQ(jobs.one(*second)->state, JobState::waiting);
  EXPECT_TRUE(jobs.cancel(*second));
  EXPECT_EQ(jobs.one(*second)->state, JobState::cancelled);
  held.go.set_value();
  EXPECT_EQ(ended(jobs, *first).state, JobState::done);
  EXPECT_TRUE(jobs.close(60));
  EXPECT_FALSE(ran);
}

TEST(Jobs, ProgressIsTold) {
  Jobs jobs(1);
  std::promise<void> stepped, go;
  const auto job = jobs.start("report", [&](Watch& watch) -> Result<std::string> {
    if (auto going = watch.step("pages", 0.25); !going) return going.error();
    stepped.set_value();
    go.get_future().wait();
    return std::string("1");
  });
  stepped.get_future().wait();
  EXPECT_EQ(jobs.one(*job)->progress, 0.25);
  EXPECT_EQ(jobs.one(*job)->message, "pages");
  go.set_value();
  ended(jobs, *job);
}

TEST(Jobs, TooManyWaitingAreRefusedAndOldOnesForgotten) {
  Jobs jobs(1, 2, 3);
  Held held;
  const auto first = jobs.start("a", held.work());
  held.began.get_future().wait();
  const auto quick = [](Watch&) { return Result<std::string>("1"); };
  EXPECT_TRUE(jobs.start("b", quick));
  const auto last = jobs.start("c", quick);
  EXPECT_TRUE(last);
  EXPECT_FALSE(jobs.start("d", quick));
  held.go.set_value();
  ended(jobs, *last);
  for (int i = 0; i < 5; ++i) ended(jobs, *jobs.start("e", quick));
  EXPECT_FALSE(jobs.one(*first));
  EXPECT_LE(jobs.all().size(), 4u);
  EXPECT_FALSE(jobs.cancel(*first));
}

TEST(Jobs, ClosingCancelsAndWaits) {
  Jobs jobs(2);
  Held held;
  const auto running = jobs.start("a", held.work());
  held.began.get_future().wait();
  std::thread other([&] { held.go.set_value(); });
  EXPECT_TRUE(jobs.close(60));
  other.join();
  EXPECT_NE(jobs.one(*running)->state, JobState::running);
  EXPECT_FALSE(jobs.start("b", [](Watch&) { return Result<std::string>("1"); }));
}

TEST(Jobs, ClosingDoesNotWaitForEver) {
  Held held;
  Jobs jobs(1);
  jobs.start("a", held.work()).value();
  held.began.get_future().wait();
  EXPECT_FALSE(jobs.close(0));
  held.go.set_value();
  EXPECT_TRUE(jobs.close(60));
}

}  // namespace
}  // namespace mendtone::bench::jobs_test
