#pragma once
#include <string>
#include <utility>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/base/result.hpp"

namespace mendtone::app {

/// Something kept that no longer agrees with what it came from.
struct Disagreement {
  std::string what;   ///< "computation #3 (tone)"
  std::string where;  ///< the figure, as a JSON pointer or a column
  std::string kept, now;
};

struct RecheckRequest {
  std::string record;
  Going going{};  ///< asked before each result, and now and then in all that takes long
  std::vector<std::string> heads{};  ///< known from outside: ENTRY/TIME/SEAL
};

/// Numbers agree within 1e-9 of their size (or of 1, for smaller ones): another compiler's rounding
/// is no disagreement, a figure that a reader could see is.
struct RecheckAnswer {
  std::string record;
  std::size_t results = 0, figures = 0, readings = 0, means = 0, photographs = 0, kept_files = 0;
  std::vector<std::string> file_faults;    ///< of the record's file itself
  std::string head;                        ///< of the chain of entries, as it is now
  std::int64_t entries = 0, as_found = 0;  ///< entries; of these, older than the seals
  std::vector<std::string> broken_seals;
  std::vector<std::pair<std::string, std::string>> unmet_heads;  ///< head -> what it means
  std::vector<std::string> met_heads;
  std::vector<Disagreement> disagreements;
  std::vector<std::string> notes;  ///< other tables or programs; what could not be looked at
};

/// Computes every stored figure again and compares; reads every imported file again; hashes every
/// photograph where it lies; has SQLite check the file;
/// walks the chain of seals.
Result<RecheckAnswer> recheck(const RecheckRequest& request);

std::string to_text(const RecheckAnswer&);
std::string to_json(const RecheckAnswer&);
std::string to_csv(const RecheckAnswer&);
/// False where anything disagrees.
inline bool has_answer(const RecheckAnswer& answer) {
  return answer.disagreements.empty() && answer.file_faults.empty() &&
         answer.broken_seals.empty() && answer.unmet_heads.empty();
}

}  // namespace mendtone::app
