#pragma once
#include <map>
#include <string>
#include <vector>

#include "app/tissue/tissue_prepared.hpp"
#include "mendtone/app/record/entered.hpp"
#include "mendtone/match/fitness.hpp"

// What is asked of a tissue before its colour, and what is said beside it.
namespace mendtone::app {

/// A question with what it leaves open filled in: from the record's sheet, else by default.
struct CompleteQuestion {
  TissueQuestion question;  ///< its aim, lights, observer and care are stated
  std::vector<std::string> notes;
};
CompleteQuestion complete_question(const TissueQuestion& asked, const EnteredSheet& sheet,
                                   bool spectral);

/// The sheet's weight: of its readings, as asked, or of the record.
std::optional<double> sheet_weight(const TissueBench::Prepared& prepared,
                                   const TissueQuestion& question);

/// What the record says of that tissue; nullptr: nothing.
const EnteredTissue* entered_as(const EnteredTissues& all, const std::string& name,
                                const std::string& lot);

/// Why a reading of a toned tissue is too old to go by; empty: it is not, or its age is not known.
std::string too_old(const EnteredTissue& tissue, const std::string& today, double years);

/// Cautions of putting tissue on a sheet, worked out once for each kind of candidate.
class TissueCautions {
 public:
  explicit TissueCautions(const TissueQuestion& question);
  /// Whichever tissue is taken.
  std::vector<std::string> of_the_act() const;
  /// Of a candidate besides these.
  const std::vector<std::string>& of_a_candidate(Use use, bool pasted_read, bool bleeds);

 private:
  std::vector<std::string> with(Use use, bool pasted_read, bool bleeds) const;
  const TissueQuestion& question_;
  std::map<std::tuple<Use, bool, bool>, std::vector<std::string>> known_;
};

}  // namespace mendtone::app
