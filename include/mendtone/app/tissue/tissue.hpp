#pragma once
#include <memory>
#include <string>
#include <vector>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/app/record/entered.hpp"
#include "mendtone/match/setting.hpp"
#include "mendtone/match/tissue_rank.hpp"
#include "mendtone/results/tissue.hpp"

namespace mendtone::app {

using results::ColourUnder;
using results::PastedShift;
using results::TissueAnswer;
using results::TissueCandidate;
using results::TissueLeftOut;
using results::TissueQuestion;
using results::TissueRequest;
using results::Transmitted;

/// Readings that a ranking is made from, in memory: a record, a page or a photograph may hold them
/// as well as a file. A target may be L*a*b* only.
struct TissueMaterial {
  std::vector<Reading> target;   ///< rows among which the target is
  std::string target_name;       ///< empty: the only one
  std::vector<Reading> tissues;  ///< rows among which the tissues and their backings are
  std::string over;              ///< what lies behind when the object is shown: a backing's name
  bool lining = false;           ///< only linings are asked for: a bare tissue may lie behind
  Surfaces surfaces;
  std::vector<Warning> warnings;  ///< from the way in
  EnteredSheet entered;           ///< what a record holds of the sheet besides
  EnteredTissues drawer_entered;  ///< and of the drawer
};

/// Readings understood and bodies found, once; ranks again at once for other lights, plies and
/// uses. Shared read-only by threads.
class TissueBench {
 public:
  /// Refuses (exit 3) a target or backing that is not there or that no physics explains, and a
  /// drawer in which no tissue can be ranked, naming each and why.
  static Result<TissueBench> prepare(TissueMaterial material);
  /// `place`: where lamps are looked up that are no CIE lights.
  Result<TissueAnswer> rank(const TissueQuestion& question, const InputPlace& place = {}) const;

  struct Prepared;

 private:
  std::shared_ptr<const Prepared> prepared_;
};

/// Finds and reads what the request names.
Result<TissueMaterial> read_material(const TissueRequest& request, const InputPlace& place = {});

/// Reads, prepares and ranks.
Result<TissueAnswer> tissue(const TissueRequest& request, const InputPlace& place = {});

std::string to_text(const TissueAnswer&);
/// False (exit 5) where no candidate lies within the tolerance.
inline bool has_answer(const TissueAnswer& answer) {
  return answer.within > 0;
}

}  // namespace mendtone::app
