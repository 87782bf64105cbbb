#include "mendtone/spectral/comparable.hpp"

#include "mendtone/base/numbers.hpp"
#include "mendtone/spectral/geometry.hpp"

namespace mendtone {
namespace {

std::string against(std::string_view what, std::string_view before, std::string_view after) {
  return std::string(what) + " differs: " + std::string(before) + " before, " + std::string(after) +
         " after";
}

/// One fact of the two readings as text; empty: not stated.
struct Fact {
  std::string_view what;
  std::string before, after;

  bool one_silent() const { return before.empty() != after.empty(); }
  bool differs() const { return !before.empty() && !after.empty() && before != after; }
};

void must_agree(const Fact& fact, Comparability& verdict) {
  if (fact.differs()) verdict.refusals.push_back(against(fact.what, fact.before, fact.after));
  if (fact.one_silent())
    verdict.warnings.push_back(
        std::string(fact.what) + " is stated only " +
        (fact.after.empty() ? "before: " + fact.before : "after: " + fact.after) +
        "; taken as the same");
}

void should_agree(const Fact& fact, Comparability& verdict) {
  if (fact.differs()) verdict.warnings.push_back(against(fact.what, fact.before, fact.after));
}

std::string text_of(const std::optional<int>& number) {
  return number ? std::to_string(*number) : std::string();
}
std::string text_of(const std::optional<double>& number) {
  return number ? shortest(*number) : std::string();
}

void check_condition(const Reading& before, const Reading& after, Comparability& verdict) {
  const Fact fact{"the measurement condition", std::string(name_of(before.condition)),
                  std::string(name_of(after.condition))};
  if (!fact.differs()) return must_agree(fact, verdict);
  const auto either = [&](Condition c) { return before.condition == c || after.condition == c; };
  if (either(Condition::m3))
    verdict.refusals.push_back(against(fact.what, fact.before, fact.after) +
                               "; M3 is polarised and takes the surface's gloss away");
  else if (either(Condition::m0))
    verdict.warnings.push_back(against(fact.what, fact.before, fact.after) +
                               "; sound only for a sheet without brightener, as M0 does not say "
                               "how much ultraviolet there was");
  else
    verdict.refusals.push_back(against(fact.what, fact.before, fact.after) +
                               "; what differs between them is the brightener, not the sheet");
}

void check_geometry(const Reading& before, const Reading& after, Comparability& verdict) {
  const Geometry one = geometry_of(before.geometry), two = geometry_of(after.geometry);
  const Fact fact{"the geometry", before.geometry, after.geometry};
  if (!fact.differs()) return must_agree(fact, verdict);
  if (one == two && one == Geometry::directional) return;
  const bool sphere_half_said = (one == Geometry::sphere) != (two == Geometry::sphere) &&
                                one != Geometry::directional && two != Geometry::directional &&
                                one != Geometry::unknown && two != Geometry::unknown;
  if (one == Geometry::unknown || two == Geometry::unknown || one == two || sphere_half_said)
    return should_agree(fact, verdict);
  verdict.refusals.push_back(against(fact.what, fact.before, fact.after));
}

std::string light_of(const Reading& reading) {
  if (reading.spectrum || !reading.lab) return {};
  return reading.lab->light + ", " + std::to_string(reading.lab->observer_deg) + " degrees";
}

Comparability all_but_condition(const Reading& before, const Reading& after) {
  Comparability verdict;
  if (before.quantity != after.quantity)
    verdict.refusals.push_back(
        against("what was measured", name_of(before.quantity), name_of(after.quantity)));
  check_geometry(before, after, verdict);
  must_agree({"the backing", before.backing, after.backing}, verdict);
  must_agree({"the number of plies", text_of(before.plies), text_of(after.plies)}, verdict);
  must_agree({"the side", std::string(name_of(before.side)), std::string(name_of(after.side))},
             verdict);
  must_agree({"the state", std::string(name_of(before.state)), std::string(name_of(after.state))},
             verdict);
  const std::string light_before = light_of(before), light_after = light_of(after);
  if (!light_before.empty() && !light_after.empty() && light_before != light_after)
    verdict.refusals.push_back(
        against("the light and observer of the L*a*b* values", light_before, light_after));
  should_agree({"the instrument", before.instrument, after.instrument}, verdict);
  should_agree({"the aperture in mm", text_of(before.aperture_mm), text_of(after.aperture_mm)},
               verdict);
  should_agree({"the lot", before.lot, after.lot}, verdict);
  return verdict;
}

}  // namespace

Comparability comparability(const Reading& before, const Reading& after) {
  Comparability verdict = all_but_condition(before, after);
  check_condition(before, after, verdict);
  return verdict;
}

bool is_brightener_pair(const Reading& one, const Reading& two) {
  const bool m1_m2 = (one.condition == Condition::m1 && two.condition == Condition::m2) ||
                     (one.condition == Condition::m2 && two.condition == Condition::m1);
  return m1_m2 && all_but_condition(one, two).allowed();
}

}  // namespace mendtone
