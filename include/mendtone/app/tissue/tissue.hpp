#pragma once
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/match/setting.hpp"
#include "mendtone/match/tissue_rank.hpp"

namespace mendtone::app {

/// Readings that a ranking is made from, in memory: a record, a page or a photograph may hold them
/// as well as a file. A target may be L*a*b* only.
struct TissueMaterial {
  std::vector<Reading> target;   ///< rows among which the target is
  std::string target_name;       ///< empty: the only one
  std::vector<Reading> tissues;  ///< rows among which the tissues and their backings are
  std::string over;              ///< what lies behind when the object is shown: a backing's name
  Surfaces surfaces;
  std::vector<Warning> warnings;  ///< from the way in
};

/// What is left out of the list when asked.
enum class LeaveOut { darker, heavier, bleeding };
std::string_view name_of(LeaveOut);
std::optional<LeaveOut> leave_out_from(std::string_view);

/// How to rank what was prepared. May change as often as a person turns a knob.
struct TissueQuestion {
  ViewingRequest viewing;  ///< no light named: D65 (viewing), LED-B1, B2, B3 and A (gallery)
  std::vector<Use> uses{Use::loss};
  Side side = Side::back;
  int fewest_plies = 1, most_plies = 4;
  std::string light_sheet = "D65";
  double tolerance_de00 = 1.8;
  bool tolerance_is_default = true;
  double aim_dL = 0, aim_dC = 0;  ///< lighter and duller than the sheet: dL > 0, dC < 0
  std::vector<LeaveOut> leave_out;
  std::optional<std::size_t> top;  ///< nothing: every candidate
  RankWeights weights;
  int trials = 1000;  ///< of the Monte Carlo on the best 50; 0: none
  std::uint64_t seed = 1;
};

struct ColourUnder {
  std::string light;
  Lab lab;
  double de00 = 0, dL = 0, da = 0, db = 0;  ///< candidate minus sheet
  bool predictable = true;  ///< false: a brightener was found and this is not the reading's light
};

struct Transmitted {
  bool known = false;
  std::string why;  ///< why not
  Lab lab;          ///< relative to the bare light sheet
  double de00 = 0, dL = 0;
  std::string light;
};

/// What pasting does to a candidate, where dry and pasted readings of one lot tell.
struct PastedShift {
  double dL = 0, da = 0, db = 0;  ///< pasted minus dry
  double de00 = 0;                ///< pasted, to the sheet
};

struct TissueCandidate {
  std::string tissue, lot;
  State state = State::unstated;
  int plies = 1;
  Use use = Use::loss;
  Side side = Side::back;
  bool as_read = false;  ///< read over the very backing of use; nothing was predicted
  Lab lab;               ///< under the viewing light
  double de00 = 0, dL = 0, da = 0, db = 0;
  double aim_de00 = 0;  ///< to the aim; without an offset the same as `de00`
  double worst_de00 = 0;
  std::string worst_light;
  std::vector<ColourUnder> by_light;
  std::optional<double> overlap_de00;  ///< where fill and sheet overlap, to the bare sheet
  std::optional<Lab> overlap_shift;    ///< a loss's: what the overlap adds, viewing light
  Transmitted transmitted;
  double score = 0;
  std::optional<double> nearest_probability;  ///< of being truly first, on the best 50
  std::optional<double> weight_g_m2;          ///< all plies together
  std::optional<PastedShift> pasted;
  std::vector<std::string> reasons, cautions;
};

/// A tissue that could not be ranked, and why.
struct TissueLeftOut {
  std::string tissue, reason;
};

struct TissueAnswer {
  std::string target;
  std::string over;
  bool over_is_nominal = false;
  std::vector<Use> uses;
  Side side = Side::back;
  std::vector<std::string> lights;  ///< with their origin; the first is the viewing light
  int observer_deg = 10;
  std::vector<ColourUnder> sheet;  ///< the bare sheet's own colour, differences 0
  Transmitted sheet_transmitted;
  std::optional<double> sheet_weight_g_m2;
  double tolerance_de00 = 1.8;
  std::string tolerance_origin;
  double aim_dL = 0, aim_dC = 0;
  Lab aim;  ///< under the viewing light
  std::string score_formula;
  std::string surfaces;  ///< what was taken of interfaces and of how plies lie, in words
  std::string probability_note;
  std::vector<TissueCandidate> candidates;      ///< best score first
  std::size_t ranked = 0;                       ///< candidates before filters and --top
  std::map<std::string, std::size_t> filtered;  ///< filter -> candidates taken away
  std::size_t within = 0;                       ///< candidates within the tolerance, after filters
  std::vector<TissueLeftOut> left_out;
  std::vector<std::string> notes;  ///< what colour alone does not say
  std::vector<Warning> warnings;
};

/// Readings understood and bodies found, once; ranks again at once for other lights, plies and
/// uses. Shared read-only by threads.
class TissueBench {
 public:
  /// Refuses (exit 3) a target or backing that is not there or that no physics explains, and a
  /// drawer in which no tissue can be ranked, naming each and why.
  static Result<TissueBench> prepare(TissueMaterial material);
  Result<TissueAnswer> rank(const TissueQuestion& question) const;

  struct Prepared;

 private:
  std::shared_ptr<const Prepared> prepared_;
};

/// The command's request: files, or names of what the record keeps.
struct TissueRequest {
  std::string target;                ///< --for: besides, a name among the readings of --from
  std::string target_name;           ///< which one, where there are several
  std::vector<std::string> tissues;  ///< --from
  std::string over;                  ///< --over: besides, a backing's name among all readings
  std::optional<Scale> scale;
  InputPlace record;
  Surfaces surfaces;
  TissueQuestion question;
};

/// Finds and reads what the request names.
Result<TissueMaterial> read_material(const TissueRequest& request);

/// Reads, prepares and ranks.
Result<TissueAnswer> tissue(const TissueRequest& request);

std::string to_text(const TissueAnswer&);
std::string to_json(const TissueAnswer&);
std::string to_csv(const TissueAnswer&);
/// False (exit 5) where no candidate lies within the tolerance.
inline bool has_answer(const TissueAnswer& answer) {
  return answer.within > 0;
}

}  // namespace mendtone::app
