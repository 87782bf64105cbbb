#pragma once
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "mendtone/match/aim.hpp"
#include "mendtone/match/setting.hpp"

namespace mendtone {

/// The numbers of many slabs, one a band, each number by itself: what ranking asks of a pile.
struct SlabPlanes {
  static constexpr std::size_t count = 9;
  static constexpr double Slab::*const numbers[count] = {
      &Slab::R12, &Slab::R21,    &Slab::T,   &Slab::seen,        &Slab::in,
      &Slab::out, &Slab::thrown, &Slab::lit, &Slab::straight_out};
  const double *R12, *R21, *T, *seen, *in, *out, *thrown, *lit, *straight_out;
  /// `planes`: count x bands numbers, in the order of `numbers`.
  SlabPlanes(const double* planes, std::size_t bands)
      : R12(planes),
        R21(planes + bands),
        T(planes + 2 * bands),
        seen(planes + 3 * bands),
        in(planes + 4 * bands),
        out(planes + 5 * bands),
        thrown(planes + 6 * bands),
        lit(planes + 7 * bands),
        straight_out(planes + 8 * bands) {}
  /// Writes `slabs` to count x slabs.size() numbers.
  static void put(std::span<const Slab> slabs, double* planes);
};

/// A drawer of tissues, planar: what 1, 2 … plies of each do to light, band by band.
class Drawer {
 public:
  Drawer(WavelengthGrid grid, int most_plies);
  /// Room for so many tissues at once: a large drawer then fills without moving about.
  void reserve(std::size_t tissues);

  /// A tissue from its ply: like plies are one thicker layer. Returns its place.
  std::size_t add(const Ply& one_ply, bool opaque = false);
  /// A tissue from the piles of 1, 2 … `most_plies()` plies.
  std::size_t add_piles(std::span<const std::vector<Slab>> piles, bool opaque = false);
  /// A tissue read once over the very backing of use: a loss only, so many plies, its margin and
  /// the light sheet not known.
  std::size_t add_as_read(std::span<const double> R, int plies);

  std::size_t size() const { return tissues_.size(); }
  std::size_t bands() const { return grid_.size(); }
  const WavelengthGrid& grid() const { return grid_; }
  int most_plies() const { return most_plies_; }
  bool as_read(std::size_t tissue) const { return tissues_[tissue].as_read_plies > 0; }
  bool has(std::size_t tissue, int plies) const {
    return !as_read(tissue) || tissues_[tissue].as_read_plies == plies;
  }
  /// Opaque in some band: what shines through is not known.
  bool opaque(std::size_t tissue) const { return tissues_[tissue].opaque; }

  /// A pile, planar: `bands()` numbers each. Contract: `has(tissue, plies)`.
  SlabPlanes planes(std::size_t tissue, int plies) const;
  /// The same as slabs; a beam through the pile is not known.
  std::vector<Slab> pile(std::size_t tissue, int plies) const;

 private:
  struct Tissue {
    int as_read_plies = 0;
    bool opaque = false;
  };
  std::size_t place_of(std::size_t tissue, int plies) const;
  void put(std::size_t tissue, int plies, std::span<const Slab> pile);

  WavelengthGrid grid_;
  int most_plies_;
  std::vector<Tissue> tissues_;
  std::vector<double> planes_;
};

/// One use that tissues are ranked for.
struct RankPlace {
  Use use = Use::loss;
  Side side = Side::back;
  Setting setting;
  std::optional<Setting> margin;  ///< loss: where fill and sheet overlap; nothing: not known
};

/// The bare sheet on the light sheet, relative to the bare light sheet.
struct LightSheetAim {
  TristimulusWeights weights;
  Lab sheet;
};

/// score = viewing x DeltaE00 under the viewing light + worst x DeltaE00 under the worst light
///       + overlap x DeltaE00 of a loss's margin + light_sheet x DeltaE00 on the light sheet.
/// The weights are common practice put into numbers, no source: reflected light decides, and 20
/// DeltaE00 on the light sheet weigh like 1 in the gallery.
struct RankWeights {
  double viewing = 0.5;
  double worst = 0.5;
  double overlap = 0.1;
  double light_sheet = 0.05;
  /// What stands in, where the others' is known and this one's is not, so that a sheet read once
  /// does not win by what nobody knows.
  double unknown_overlap_de00 = 5;
  double unknown_light_sheet_de00 = 20;
};
/// The formula in words, as it stands in every result.
std::string in_words(const RankWeights&);

struct RankProblem {
  std::vector<RankPlace> places;
  std::vector<LightAim> lights;              ///< the first is the viewing light
  std::optional<LightSheetAim> light_sheet;  ///< nothing: not known for the sheet
  RankWeights weights;
  int fewest_plies = 1;
  int most_plies = 4;
};

/// Every fault of the problem with this drawer, in words; empty: it can be ranked.
std::vector<std::string> faults(const RankProblem& problem, const Drawer& drawer);

/// A candidate in numbers. All differences are to the aim, which is the sheet where no offset was
/// asked for.
struct Ranked {
  std::uint32_t tissue = 0;
  std::uint8_t place = 0;
  std::uint8_t plies = 1;
  std::uint8_t worst_light = 0;
  double score = 0;
  double de00 = 0;                     ///< under the viewing light
  double worst_de00 = 0;               ///< under the worst light
  std::optional<double> overlap_de00;  ///< of a loss's margin against the bare sheet
  std::optional<double> light_sheet_de00;
};

/// Every tissue x plies x place, best score first; equal scores in the order of the drawer. Refuses
/// a problem with `faults`, naming them all.
Result<std::vector<Ranked>> rank(const Drawer& drawer, const RankProblem& problem);

/// The colours behind a candidate.
struct RankedColours {
  std::vector<Lab> by_light;
  std::optional<Lab> margin;       ///< under the viewing light
  std::optional<Lab> light_sheet;  ///< relative to the bare light sheet
};
/// Refuses what `rank` refuses, and a candidate that the problem or the drawer does not hold.
Result<RankedColours> colours(const Drawer& drawer, const RankProblem& problem,
                              const Ranked& candidate);

}  // namespace mendtone
