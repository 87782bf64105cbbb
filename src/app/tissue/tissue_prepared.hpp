#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/tissue/tissue.hpp"
#include "mendtone/materials/sheet.hpp"

namespace mendtone::app {

/// Words that many tissues share, said once with the tissues that they are true of.
class SharedWords {
 public:
  void add(const std::string& words, const std::string& tissue);
  /// The same for words about so many of `bands`; said once with the range: "in 2-27 of 36 bands".
  void add(const std::string& words, std::size_t count, std::size_t bands,
           const std::string& tissue);
  std::vector<Warning> told() const;

 private:
  struct Said {
    std::string words;
    std::vector<std::string> tissues;
    std::size_t fewest = 0, most = 0, bands = 0;
  };
  Said& said(const std::string& words, const std::string& tissue);
  std::vector<Said> all_;
};

/// A tissue that can be ranked by its spectra: one for each entry of the drawer.
struct DrawerTissue {
  SheetReadings sheet;
  std::optional<SheetBody> body;      ///< nothing: taken as read
  std::size_t as_read = 0;            ///< without a body: the place in `sheet.spectral`
  std::optional<std::size_t> pasted;  ///< place in `Prepared::pasted`
  bool brightener = false;
};

/// The same lot after pasting.
struct PastedTissue {
  std::string name, lot;
  std::vector<std::vector<Slab>> piles;
};

/// A tissue that is known by L*a*b* only, over the very backing of use.
struct LabTissue {
  SheetReadings sheet;
  BoundLab lab;
  int plies = 1;
};

struct TissueBench::Prepared {
  WavelengthGrid grid;
  Backing over;
  bool over_is_tissue = false;  ///< as only a lining may lie behind
  Surfaces surfaces;
  SheetReadings target;
  std::optional<Sheet> sheet;  ///< nothing: the target is L*a*b* only
  std::optional<SheetBody> target_body;
  std::string why_no_body;         ///< of the target, where it has none
  std::size_t target_as_read = 0;  ///< without a body: the place in `target.spectral`
  BoundLab target_lab;             ///< of a target without spectrum: its mean
  std::vector<Lab> target_lab_deviations;
  bool target_brightener = false;
  std::vector<DrawerTissue> tissues;
  std::vector<PastedTissue> pasted;
  std::vector<LabTissue> lab_tissues;
  std::optional<Drawer> drawer;
  std::vector<TissueLeftOut> left_out;
  std::vector<Warning> warnings;
  EnteredSheet entered;
  EnteredTissues drawer_entered;
};

/// The most plies that a drawer is prepared for.
inline constexpr int most_plies_prepared = 8;

/// What a candidate is told by.
struct CandidateFacts {
  std::optional<double> sheet_weight_g_m2;
  std::optional<bool> bleeds;
  /// Plies of this tissue that come nearest on the light sheet, and how many were tried at most.
  std::optional<int> plies_for_light_sheet;
  int most_plies = 1;
};

/// What speaks for a candidate and against it.
std::vector<std::string> reasons_of(const TissueCandidate& candidate, const CandidateFacts& facts);
/// What has to be done or watched with it.
/// Besides those that reference-data/cautions.csv chooses.
std::vector<std::string> cautions_of(const TissueCandidate& candidate);

}  // namespace mendtone::app
