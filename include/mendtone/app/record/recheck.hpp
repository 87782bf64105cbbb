#pragma once
#include <string>
#include <utility>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/results/recheck.hpp"

namespace mendtone::app {

using results::Disagreement;
using results::RecheckAnswer;

struct RecheckRequest {
  std::string record;
  Going going{};  ///< asked before each result, and now and then in all that takes long
  std::vector<std::string> heads{};  ///< known from outside: ENTRY/TIME/SEAL
};

/// Computes every stored figure again and compares; reads every imported file again; hashes every
/// photograph where it lies; has SQLite check the file;
/// walks the chain of seals.
Result<RecheckAnswer> recheck(const RecheckRequest& request);

std::string to_text(const RecheckAnswer&);
/// False where anything disagrees.
inline bool has_answer(const RecheckAnswer& answer) {
  return answer.agrees;
}

}  // namespace mendtone::app
