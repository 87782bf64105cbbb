#include "app/image/image_fills.hpp"

#include "mendtone/base/numbers.hpp"
#include "mendtone/base/words.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/colour/weights.hpp"
#include "mendtone/imaging/fill.hpp"
#include "mendtone/imaging/planar.hpp"
#include "mendtone/results/walk.hpp"
#include "mendtone/results/wash.hpp"

namespace mendtone::app {
namespace {

/// One candidate or recipe, before it is brought to the display's white.
struct Found {
  std::string name;
  const std::vector<results::ColourUnder>* by_light = nullptr;
  std::optional<double> overlap_de00;
  std::optional<results::Shift> overlap;
};

Found found(const results::TissueCandidate& candidate) {
  return {
      candidate.tissue + ", " + counted(static_cast<std::size_t>(candidate.plies), "ply", "plies"),
      &candidate.by_light, candidate.overlap_de00, candidate.overlap_shift};
}

Found found(const results::WashRecipe& recipe) {
  std::vector<std::string> loads;
  for (const results::Load& load : recipe.loads)
    loads.push_back(load.colorant + " " + fixed(load.load, 3));
  return {loads.empty() ? "fill" : joined(loads, ", "), &recipe.by_light, {}, {}};
}

Lab to_display(const Lab& lab, const Xyz& white) {
  return xyz_to_lab(adapt(lab_to_xyz(lab, white), white, image_white), image_white);
}

Result<Xyz> white_of(const std::string& light, int observer_deg) {
  auto named = standard_light(light);
  if (!named) return named.error();
  auto observer = observer_from_degrees(observer_deg);
  if (!observer) return observer.error();
  auto weights = tristimulus_weights(WavelengthGrid::equal_steps(380, 5, 81), *named, *observer);
  if (!weights) return weights.error();
  return weights->white;
}

RankedFill ranked(const Found& found, const results::ColourUnder& colour, const Xyz& white) {
  const Lab sheet{colour.lab.L - colour.dL, colour.lab.a - colour.da, colour.lab.b - colour.db};
  RankedFill fill{
      found.name, to_display(colour.lab, white), to_display(sheet, white), found.overlap_de00, {}};
  // Known under the light that ranked; as an eye used to that light sees it.
  if (found.overlap && colour.light == found.by_light->front().light) {
    const results::Shift& o = *found.overlap;
    const Lab there = to_display({sheet.L + o.dL, sheet.a + o.da, sheet.b + o.db}, white);
    fill.overlap_shift =
        Lab{there.L - fill.sheet.L, there.a - fill.sheet.a, there.b - fill.sheet.b};
  }
  return fill;
}

template <class Item>
Result<RankedFills> fills_of(const std::vector<Item>& items, const std::string& light,
                             int observer_deg, const std::string& path) {
  RankedFills fills{light, observer_deg, {}};
  Xyz white;
  for (const Item& item : items) {
    const Found one = found(item);
    if (fills.light.empty() && !one.by_light->empty()) fills.light = one.by_light->front().light;
    const results::ColourUnder* colour = nullptr;
    for (const results::ColourUnder& under : *one.by_light)
      if (under.light == fills.light) colour = &under;
    if (!colour) return bad_input("'" + one.name + "' has no colour under " + fills.light, path);
    if (fills.fills.empty()) {
      auto under = white_of(fills.light, observer_deg);
      if (!under) return bad_input(under.error().message, path);
      white = *under;
    }
    fills.fills.push_back(ranked(one, *colour, white));
  }
  if (fills.fills.empty()) return bad_input("it holds no candidate and no recipe", path);
  return fills;
}

template <class Answer, class Item>
Result<RankedFills> read_as(std::vector<Item> Answer::*items, const std::string& bytes,
                            const std::string& path, const std::string& light) {
  const auto answer = results::read<Answer>(bytes, path);
  if (!answer) return answer.error();
  return fills_of((*answer).*items, light, answer->observer_deg, path);
}

}  // namespace

Result<GroundAnalysis> paper_around(RowReader& rows, const Region& ring, GroundOptions options,
                                    const std::optional<Lab>& read,
                                    std::vector<std::string>& warnings) {
  if (!read) return analyse_ground(rows, ring, options);
  options.near = read;
  auto found = analyse_ground(rows, ring, options);
  if (!found) {
    options.near.reset();
    found = analyse_ground(rows, ring, options);
    if (!found) return found;
  }
  const double apart = de00(found->ground.median, *read);
  if (apart > another_paper_de00)
    warnings.push_back("the paper around the loss in this photograph is " + fixed(apart, 1) +
                       " DeltaE00 from the sheet's read tone: it may be what lies beyond the "
                       "sheet's edge, or the photograph's colours are off; do not judge by it");
  return found;
}

Result<RankedFills> read_fills(const std::string& path, const std::string& light,
                               const InputPlace& place) {
  auto bytes = input_bytes(path, place);
  if (!bytes) return bytes.error();
  const auto head = results::head_of(*bytes, path);
  if (!head) return head.error();
  if (head->schema == "tissue")
    return read_as(&results::TissueAnswer::candidates, *bytes, path, light);
  if (head->schema == "wash") return read_as(&results::WashAnswer::recipes, *bytes, path, light);
  if (head->schema == "correct")
    return read_as(&results::CorrectAnswer::recipes, *bytes, path, light);
  return bad_input(
      "expected what `mendtone tissue` or `mendtone wash` gives with --format json, "
      "with at least one candidate or recipe",
      path);
}

}  // namespace mendtone::app
