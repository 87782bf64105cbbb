#pragma once
#include <string>
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
  Going going{};  ///< asked before each result
};

/// Numbers agree within 1e-9 of their size (or of 1, for smaller ones): another compiler's rounding
/// is no disagreement, a figure that a reader could see is.
struct RecheckAnswer {
  std::string record;
  std::size_t results = 0, figures = 0, readings = 0, means = 0, photographs = 0, kept_files = 0;
  std::vector<std::string> file_faults;  ///< of the record's file itself
  std::vector<Disagreement> disagreements;
  std::vector<std::string> notes;  ///< other tables or programs; what could not be looked at
};

/// Computes every stored figure again and compares; reads every imported file again; hashes every
/// photograph where it lies; has SQLite check the file.
Result<RecheckAnswer> recheck(const RecheckRequest& request);

std::string to_text(const RecheckAnswer&);
std::string to_json(const RecheckAnswer&);
std::string to_csv(const RecheckAnswer&);
/// False where anything disagrees.
inline bool has_answer(const RecheckAnswer& answer) {
  return answer.disagreements.empty() && answer.file_faults.empty();
}

}  // namespace mendtone::app
