#pragma once
#include <atomic>
#include <condition_variable>
#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "mendtone/base/result.hpp"

// Long work in the background.
namespace mendtone::bench {

/// What a job tells while it works, and is told.
class Watch {
 public:
  /// Says where it is; `progress` 0 to 1, nothing where that is not known. Refuses where the job
  /// was cancelled: then nothing more is to be done or kept.
  Result<void> step(const std::string& message, std::optional<double> progress = std::nullopt);
  bool cancelled() const { return cancelled_; }

 private:
  friend class Jobs;
  std::atomic<bool> cancelled_{false};
  mutable std::mutex mutex_;
  std::string message_;
  std::optional<double> progress_;
};

/// Returns the result's JSON.
using Work = std::function<Result<std::string>(Watch&)>;

enum class JobState { waiting, running, done, failed, cancelled };
std::string_view name_of(JobState);

struct JobFacts {
  std::int64_t job = 0;
  std::string verb;
  JobState state = JobState::waiting;
  std::optional<double> progress;
  std::string message;
  double seconds = 0;  ///< of running, so far or in all
  std::string result;  ///< JSON; when done
  Error error;         ///< when failed
};

/// A few threads that take jobs in turn. Those that ended are remembered, the newest ones.
class Jobs {
 public:
  explicit Jobs(int threads, std::size_t most_waiting = 30, std::size_t most_remembered = 60);
  ~Jobs();

  /// Refuses when too many wait already, or when this machine gives no thread.
  Result<std::int64_t> start(std::string verb, Work work);
  std::vector<JobFacts> all() const;
  std::optional<JobFacts> one(std::int64_t job) const;
  /// A waiting job is over at once, a running one at its next step.
  bool cancel(std::int64_t job);
  /// Cancels what there is and waits; whether all of it ended in that time.
  bool close(int seconds);

 private:
  struct Job;
  struct Shared;
  static void work_on(const std::shared_ptr<Shared>& shared);
  static JobFacts facts(const Job& job);

  int threads_;
  std::shared_ptr<Shared> shared_;
};

}  // namespace mendtone::bench
