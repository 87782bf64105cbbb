#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/colour/brightener.hpp"
#include "mendtone/colour/change.hpp"
#include "mendtone/colour/grey_scale.hpp"
#include "mendtone/colour/mean_region.hpp"
#include "mendtone/colour/metamerism.hpp"

namespace mendtone::app {

struct DifferenceRequest {
  Sources before, after;
  ViewingRequest viewing;
  ChangeSettings settings;
  /// Asks for the brightener of names read under M1 in one file and M2 in the other.
  bool brightener = false;
};

/// One special metamerism index: the viewing light is the reference.
struct MetamerismUnder {
  std::string test_light;
  double plain_de00 = 0;  ///< what the visitor sees under the test light
  MetamerismIndex index;
};

/// One name, before and after, under one light.
struct Pair {
  std::string name;
  std::string light;
  int observer_deg = 10;
  Lab before, after;
  std::size_t n_before = 0, n_after = 0;
  std::optional<double> spread_before_de00, spread_after_de00;
  std::optional<MeanRegion> region_before, region_after;  ///< three repeats or more
  double de_ab = 0;
  SignedDifference parts;
  Change change;
  GreyScale grey_scale;
  std::vector<MetamerismUnder> metamerism;  ///< with the viewing light's pair only
  std::size_t bands_extrapolated = 0;       ///< of the reading after, held at its ends
  std::string conditions;
  std::vector<std::string> warnings;
};

/// A name that was not compared under a light (empty: under any), and why.
struct NoPair {
  std::string name, light, reason;
};

struct DifferenceAnswer {
  std::vector<std::string> lights;
  int observer_deg = 10;
  ChangeSettings settings;
  std::vector<Pair> pairs;
  std::vector<NoPair> refused;
  std::vector<std::string> only_before, only_after;  ///< names without a partner
  std::vector<Brightener> brighteners;
  std::vector<Warning> warnings;
};

/// What two sets of readings differ by. Refuses (exit 3) when no name can be compared.
Result<DifferenceAnswer> difference(const DifferenceRequest& request);

/// The same for readings in memory.
Result<DifferenceAnswer> difference_of(const ReadFile& before, const ReadFile& after,
                                       const Viewing& viewing, const ChangeSettings& settings,
                                       bool brightener = false);

/// Where the tolerance in use comes from, in words.
std::string tolerance_origin(const ChangeSettings& settings);

std::string to_text(const DifferenceAnswer&);
std::string to_json(const DifferenceAnswer&);
std::string to_csv(const DifferenceAnswer&);
/// False where any pair is undecided.
bool has_answer(const DifferenceAnswer&);

}  // namespace mendtone::app
