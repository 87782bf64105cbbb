#pragma once
#include <array>

#include "mendtone/colour/brightener.hpp"
#include "mendtone/colour/change.hpp"
#include "mendtone/colour/mean_region.hpp"
#include "mendtone/colour/metamerism.hpp"
#include "mendtone/results/common.hpp"

namespace mendtone::results {

void fields(Describe&, ChangeSettings&);
void fields(Describe&, De00Factors&);
void fields(Describe&, Brightener&);
void fields(Describe&, MeanRegion&);
void fields(Describe&, MetamerismIndex::Value&);

struct DifferenceRequest {
  Sources before, after;
  ViewingRequest viewing;
  ChangeSettings settings;
  /// Asks for the brightener of names read under M1 in one file and M2 in the other.
  bool brightener = false;
};
void fields(Describe&, DifferenceRequest&);

/// One special metamerism index: the viewing light is the reference.
struct MetamerismUnder {
  std::string reference_light, test_light;
  double plain_de00 = 0;  ///< what the visitor sees under the test light
  MetamerismIndex index;
};
void fields(Describe&, MetamerismUnder&);

/// Against the grey scale of the textile trade.
struct GreyRating {
  std::string step;
  double rating = 5, de_f = 0;
};
void fields(Describe&, GreyRating&);

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
  GreyRating grey_scale;
  std::vector<MetamerismUnder> metamerism;  ///< with the viewing light's pair only
  std::size_t bands_extrapolated = 0;       ///< of the reading after, held at its ends
  std::string conditions;
  std::vector<std::string> warnings;
};
void fields(Describe&, Pair&);

struct DifferenceAnswer {
  std::vector<LightNamed> lights;
  int observer_deg = 10;
  ChangeSettings settings;
  std::string tolerance_origin;
  std::vector<Pair> pairs;
  std::vector<Refused> refused;
  std::vector<std::string> only_before, only_after;  ///< names without a partner
  std::vector<Brightener> brighteners;
  std::vector<std::string> warnings;
};
void fields(Describe&, DifferenceAnswer&);

}  // namespace mendtone::results
