#include "bench/jobs.hpp"

#include <algorithm>
#include <chrono>
#include <exception>
#include <system_error>

namespace mendtone::bench {
namespace {

using Clock = std::chrono::steady_clock;

Error stopped() {
  return bad_request("cancelled; nothing of it was kept");
}

/// A fault of the program ends one job, not the bench.
Result<std::string> run(const Work& work, Watch& watch) {
  try {
    return work(watch);
  } catch (const std::bad_alloc&) {
    return outside_world("this machine has not enough memory free for that");
  } catch (const std::exception& fault) {
    return outside_world(std::string("a fault of the program: ") + fault.what());
  }
}

bool is_over(JobState state) {
  return state != JobState::waiting && state != JobState::running;
}

}  // namespace

struct Jobs::Job {
  std::int64_t number = 0;
  std::string verb;
  Work work;
  JobState state = JobState::waiting;
  Watch watch;
  Clock::time_point began, ended;
  std::string result;
  Error error;
};

struct Jobs::Shared {
  std::mutex mutex;
  std::condition_variable came, ended;
  std::map<std::int64_t, std::shared_ptr<Job>> jobs;
  std::deque<std::shared_ptr<Job>> waiting;
  std::size_t most_waiting = 0, most_remembered = 0;
  std::int64_t last = 0;
  int running = 0, threads = 0;
  bool closing = false;

  void forget_old() {
    std::size_t over = 0;
    for (const auto& [number, job] : jobs) over += is_over(job->state) ? 1 : 0;
    for (auto job = jobs.begin(); job != jobs.end() && over > most_remembered;) {
      if (!is_over(job->second->state)) {
        ++job;
        continue;
      }
      job = jobs.erase(job);
      --over;
    }
  }

  void end(Job& job, JobState state) {
    job.state = state;
    job.ended = Clock::now();
    job.work = nullptr;
    forget_old();
    ended.notify_all();
  }
};

std::string_view name_of(JobState state) {
  switch (state) {
    case JobState::waiting:
      return "waiting";
    case JobState::running:
      return "running";
    case JobState::done:
      return "done";
    case JobState::failed:
      return "failed";
    case JobState::cancelled:
      break;
  }
  return "cancelled";
}

Result<void> Watch::step(const std::string& message, std::optional<double> progress) {
  if (cancelled_) return stopped();
  const std::lock_guard lock(mutex_);
  message_ = message;
  progress_ = progress;
  return {};
}

Jobs::Jobs(int threads, std::size_t most_waiting, std::size_t most_remembered)
    : threads_(threads), shared_(std::make_shared<Shared>()) {
  shared_->most_waiting = most_waiting;
  shared_->most_remembered = most_remembered;
}

Jobs::~Jobs() {
  close(0);
}

void Jobs::work_on(const std::shared_ptr<Shared>& shared) {
  std::unique_lock lock(shared->mutex);
  while (true) {
    shared->came.wait(lock, [&] { return shared->closing || !shared->waiting.empty(); });
    if (shared->closing) break;
    const std::shared_ptr<Job> job = shared->waiting.front();
    shared->waiting.pop_front();
    job->state = JobState::running;
    job->began = Clock::now();
    ++shared->running;
    lock.unlock();
    auto result = run(job->work, job->watch);
    lock.lock();
    --shared->running;
    if (result) {
      // Kept before the cancelling was seen: then it is done, and says so.
      job->result = *std::move(result);
      shared->end(*job, JobState::done);
    } else {
      job->error = result.error();
      shared->end(*job, job->watch.cancelled() ? JobState::cancelled : JobState::failed);
    }
  }
  --shared->threads;
  shared->ended.notify_all();
}

Result<std::int64_t> Jobs::start(std::string verb, Work work) {
  Shared& s = *shared_;
  const std::lock_guard lock(s.mutex);
  if (s.closing) return outside_world("the program is closing");
  if (s.waiting.size() >= s.most_waiting)
    return outside_world("too much is waiting already: let some of it end, or cancel it");
  try {
    if (s.threads < threads_) {
      std::thread([shared = shared_] { work_on(shared); }).detach();
      ++s.threads;
    }
  } catch (const std::system_error&) {
    if (s.threads == 0)
      return outside_world("this machine gives the program no thread: close other programs");
  }
  auto job = std::make_shared<Job>();
  job->number = ++s.last;
  job->verb = std::move(verb);
  job->work = std::move(work);
  s.jobs[job->number] = job;
  s.waiting.push_back(job);
  s.came.notify_one();
  return job->number;
}

JobFacts Jobs::facts(const Job& job) {
  JobFacts facts{job.number, job.verb, job.state, {}, {}, 0, job.result, job.error};
  {
    const std::lock_guard lock(job.watch.mutex_);
    facts.progress = job.watch.progress_;
    facts.message = job.state == JobState::running && job.watch.cancelled_
                        ? "being cancelled: it stops at its next step"
                        : job.watch.message_;
  }
  if (job.began != Clock::time_point()) {
    const auto end = is_over(job.state) ? job.ended : Clock::now();
    facts.seconds = std::chrono::duration<double>(end - job.began).count();
  }
  return facts;
}

std::vector<JobFacts> Jobs::all() const {
  const std::lock_guard lock(shared_->mutex);
  std::vector<JobFacts> all;
  for (const auto& [number, job] : shared_->jobs) all.push_back(facts(*job));
  return all;
}

std::optional<JobFacts> Jobs::one(std::int64_t job) const {
  const std::lock_guard lock(shared_->mutex);
  const auto found = shared_->jobs.find(job);
  return found == shared_->jobs.end() ? std::nullopt : std::optional(facts(*found->second));
}

bool Jobs::cancel(std::int64_t job) {
  Shared& s = *shared_;
  const std::lock_guard lock(s.mutex);
  const auto found = s.jobs.find(job);
  if (found == s.jobs.end()) return false;
  const std::shared_ptr<Job> kept = found->second;
  if (is_over(kept->state)) return true;
  kept->watch.cancelled_ = true;
  if (kept->state == JobState::waiting) {
    s.waiting.erase(std::find(s.waiting.begin(), s.waiting.end(), kept));
    s.end(*kept, JobState::cancelled);
  }
  return true;
}

bool Jobs::close(int seconds) {
  Shared& s = *shared_;
  std::unique_lock lock(s.mutex);
  s.closing = true;
  for (const auto& job : s.waiting) s.end(*job, JobState::cancelled);
  s.waiting.clear();
  for (const auto& [number, job] : s.jobs) job->watch.cancelled_ = true;
  s.came.notify_all();
  return s.ended.wait_for(lock, std::chrono::seconds(seconds), [&] { return s.threads == 0; });
}

}  // namespace mendtone::bench
