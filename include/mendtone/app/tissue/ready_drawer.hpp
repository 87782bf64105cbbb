#pragma once
#include <list>
#include <memory>
#include <mutex>
#include <string>

#include "mendtone/app/tissue/tissue.hpp"

namespace mendtone::app {

/// Ranks a drawer again and again while a person turns knobs: read and prepared once, and anew
/// only when the record has changed or other things are asked about. For any number of threads.
class ReadyDrawer {
 public:
  /// `parameters`: a tissue request as JSON. Nothing is kept. Names mean what `place.record` keeps;
  /// with files barred, or else a changed file would not be noticed.
  /// Contract: `place` has a record and bars files.
  Result<TissueAnswer> rank(const std::string& parameters, const InputPlace& place);

 private:
  struct Ready {
    std::string key;
    TissueBench bench;
  };
  Result<TissueBench> bench_for(const TissueRequest& request, const InputPlace& place);

  std::mutex mutex_;
  std::list<Ready> ready_;  ///< the last used first
};

}  // namespace mendtone::app
