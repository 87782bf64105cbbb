#pragma once
#include <cstdint>
#include <map>

#include "mendtone/match/fitness.hpp"
#include "mendtone/match/tissue_rank.hpp"
#include "mendtone/results/care.hpp"
#include "mendtone/results/common.hpp"

namespace mendtone {

/// What is left out of a ranking when asked.
enum class LeaveOut { darker, heavier, bleeding };
std::string_view name_of(LeaveOut);
std::span<const LeaveOut> every(LeaveOut);

}  // namespace mendtone

namespace mendtone::results {

void fields(Describe&, InterfaceCorrection&);
void fields(Describe&, Surfaces&);
void fields(Describe&, RankWeights&);

/// How to rank what was prepared. May change as often as a person turns a knob.
struct TissueQuestion {
  ViewingRequest viewing;  ///< no light named: D65 (viewing), LED-B1, B2, B3 and A (gallery)
  std::vector<Use> uses{Use::loss};
  Side side = Side::back;
  int fewest_plies = 1, most_plies = 4;
  std::string light_sheet = "D65";
  std::optional<double> tolerance_de00;      ///< none: match_tolerance_de00
  std::optional<bool> tolerance_is_default;  ///< as version 1 said that none was stated
  /// Lighter and duller than the sheet: dL > 0, dC < 0. Not stated: `default_aim_dL` of the use.
  std::optional<double> aim_dL;
  double aim_dC = 0;
  double darker_weight = default_darker_weight;
  double read_within_years = 2;  ///< a toned tissue whose reading is older is not offered
  std::optional<double> sheet_weight_g_m2;  ///< where its readings do not state it
  Care care;
  std::vector<LeaveOut> leave_out;
  std::optional<std::size_t> top;  ///< nothing: every candidate
  RankWeights weights;
  int trials = 1000;  ///< of the Monte Carlo on the best 50; 0: none
  std::uint64_t seed = 1;
};
void fields(Describe&, TissueQuestion&);

struct TissueRequest {
  std::string target;                ///< a file or name, or a name among the readings of `tissues`
  std::string target_name;           ///< which one, where there are several
  std::vector<std::string> tissues;  ///< files or names with the tissues and their backings
  std::string over;                  ///< what lies behind: besides, a backing's name among them
  std::optional<Scale> scale;
  Surfaces surfaces;
  TissueQuestion question;
};
void fields(Describe&, TissueRequest&);

/// One colour under one light, against the sheet under that light.
struct ColourUnder {
  std::string light;
  Lab lab;
  double de00 = 0, dL = 0, da = 0, db = 0;  ///< candidate minus sheet
  /// Why it is not what would be seen there: a brightener was found and this is not the reading's
  /// light. Empty: it is.
  std::string not_predictable;
};
void fields(Describe&, ColourUnder&);

/// On a light sheet.
struct Transmitted {
  bool known = false;
  std::string why;         ///< why not
  std::optional<Lab> lab;  ///< relative to the bare light sheet
  std::optional<double> de00, dL;
  std::string light;
};
void fields(Describe&, Transmitted&);

struct Shift {
  double dL = 0, da = 0, db = 0;
};
void fields(Describe&, Shift&);

/// What pasting does to a candidate, where dry and pasted readings of one lot tell.
struct PastedShift {
  double dL = 0, da = 0, db = 0;  ///< pasted minus dry
  double de00 = 0;                ///< pasted, to the sheet
};
void fields(Describe&, PastedShift&);

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
  std::optional<Shift> overlap_shift;  ///< a loss's: what the overlap adds, viewing light
  Transmitted transmitted;
  double score = 0;
  std::optional<double> nearest_probability;  ///< of being truly first, on the best 50
  std::optional<double> weight_g_m2;          ///< all plies together
  std::optional<PastedShift> pasted;
  std::optional<int> group;              ///< from 1: those that nobody could tell from one another
  std::optional<double> open_line_de00;  ///< a tear's: in its open line, where the tissue is bare
  std::string fit;  ///< "fits", "does not fit", "not known": what it can do, before its colour;
                    ///< empty: older
  std::string unfit_because;            ///< why it does not fit
  std::optional<double> darker_chance;  ///< of coming out darker than the sheet
  std::string in_words;  ///< thickness, texture, grain, sheen, drape: the drawer's own words
  std::string to_be_read_again;  ///< why its reading is too old to go by; empty: it is not
  std::vector<std::string> reasons, cautions;
};
void fields(Describe&, TissueCandidate&);

/// A tissue that could not be ranked, and why.
struct TissueLeftOut {
  std::string tissue, reason;
};
void fields(Describe&, TissueLeftOut&);

struct TissueAnswer {
  std::string target;
  std::string over;
  std::string over_from;  ///< where that was taken from, where the question did not say it
  bool over_is_nominal = false;
  std::vector<Use> uses;
  Side side = Side::back;
  std::vector<LightNamed> lights;  ///< the first is the viewing light
  int observer_deg = 10;
  std::vector<ColourUnder> sheet;  ///< the bare sheet's own colour, differences 0
  Transmitted sheet_transmitted;
  std::optional<double> sheet_weight_g_m2;
  double tolerance_de00 = match_tolerance_de00;
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
  std::string verdict;                          ///< that in words, and what to do
  std::optional<double> told_apart_de00;        ///< less than this, nobody could tell
  std::string groups;                           ///< in words: what can be told apart
  std::vector<TissueLeftOut> left_out;
  std::vector<std::string> cautions;  ///< of the act, whichever tissue is taken
  std::vector<std::string> notes;     ///< what colour alone does not say
  std::vector<std::string> warnings;
};
void fields(Describe&, TissueAnswer&);

/// A tissue of the drawer: what the ranking says of it, and what the record does.
struct InDrawer {
  TissueCandidate candidate;
  std::string place;
  std::optional<double> left_cm2;  ///< nothing: never said
  bool enough = true;              ///< false where less is left than is needed
};
void fields(Describe&, InDrawer&);

struct DrawerAnswer {
  TissueAnswer ranking;          ///< its candidates stand in `drawer`
  std::vector<InDrawer> drawer;  ///< in the order of the ranking
};
void fields(Describe&, DrawerAnswer&);

}  // namespace mendtone::results
