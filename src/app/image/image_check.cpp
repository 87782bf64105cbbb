#include "mendtone/app/image/image_check.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "app/image/image_correction.hpp"
#include "app/image/image_readings.hpp"
#include "app/inputs/columns.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/table.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::app {
namespace {

constexpr const char* not_a_match =
    "None of these tolerances certifies a match. Even a photograph with a mean of 2 DeltaE00 "
    "cannot "
    "say that a fill is within 1 of the sheet: read both on the spot.";

constexpr const char* no_limit_for_evenness =
    "No limit is set beside it: the figures of the tolerances above that were at hand hold none "
    "for "
    "evenness, and none is guessed. A difference of 1 L* is 0.65 DeltaE00 at paper tones.";

struct Reference {
  std::vector<std::string> names;
  std::vector<Lab> lab;
};

Result<Reference> read_reference(const results::Sources& sources, const InputPlace& place,
                                 std::vector<std::string>& warnings) {
  auto tones = tones_under_d50(sources, place);
  if (!tones) return tones.error();
  if (!tones->refused.empty())
    return bad_input("the reference of '" + tones->refused.front().name +
                         "' cannot be given under D50, 2 degrees: " + tones->refused.front().reason,
                     sources.files.front());
  warnings.insert(warnings.end(), tones->warnings.begin(), tones->warnings.end());
  Reference reference;
  for (const Tone& tone : tones->tones) {
    reference.names.push_back(tone.name);
    reference.lab.push_back(tone.lab);
  }
  return reference;
}

std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells(1);
  for (const char c : line) {
    if (c == ',')
      cells.emplace_back();
    else if (c != '\r')
      cells.back() += c;
  }
  return cells;
}

/// name,x,y,width,height; '#' lines are skipped.
Result<std::vector<Region>> read_patches(const std::string& path, const InputPlace& place,
                                         ImageSize picture) {
  auto bytes = input_bytes(path, place);
  if (!bytes) return bytes.error();
  std::vector<Region> patches;
  std::size_t line_number = 0;
  bool heading = true;
  for (std::size_t at = 0; at < bytes->size();) {
    const std::size_t end = std::min(bytes->find('\n', at), bytes->size());
    const std::string line = bytes->substr(at, end - at);
    at = end + 1;
    const std::string where = path + ", line " + std::to_string(++line_number);
    if (line.empty() || line == "\r" || line[0] == '#') continue;
    const auto cells = cells_of(line);
    if (heading) {
      const std::vector<std::string> columns{"name", "x", "y", "width", "height"};
      MENDTONE_TRY(check_columns(cells, columns, "a file of patches", where));
      if (cells != columns) return bad_input("expected the heading name,x,y,width,height", where);
      heading = false;
      continue;
    }
    if (cells.size() != 5) return bad_input("expected 5 values", where);
    auto region = region_from("rect:" + cells[1] + "," + cells[2] + "," + cells[3] + "," + cells[4],
                              cells[0], picture, {});
    if (!region) return bad_input(region.error().message, where);
    patches.push_back(*std::move(region));
  }
  if (patches.size() < 3) return bad_input("expected at least three patches", path);
  return patches;
}

Result<std::vector<Region>> patches_of(const ImageCheckRequest& request, const InputPlace& place,
                                       const Reference& reference, ImageSize picture) {
  if (!request.patches.empty() && !request.corners.empty())
    return bad_request("give either --patches or --corners, not both");
  if (!request.patches.empty()) return read_patches(request.patches, place, picture);
  if (request.corners.size() != 8)
    return bad_request(
        "expected --patches FILE, or --corners with 8 numbers: x,y of the target's "
        "top left, top right, bottom right and bottom left corner");
  const auto& c = request.corners;
  auto grid = grid_patches({{{c[0], c[1]}, {c[2], c[3]}, {c[4], c[5]}, {c[6], c[7]}}},
                           request.columns, request.rows, request.part, picture);
  if (!grid) return grid.error();
  if (grid->size() != reference.names.size())
    return bad_input("the grid has " + std::to_string(grid->size()) + " patches, the reference " +
                     std::to_string(reference.names.size()));
  for (std::size_t i = 0; i < grid->size(); ++i) (*grid)[i].name = reference.names[i];
  return grid;
}

/// The references in the order of the patches.
Result<std::vector<Lab>> matched(const std::vector<Region>& patches, const Reference& reference) {
  std::map<std::string, Lab> by_name;
  for (std::size_t i = 0; i < reference.names.size(); ++i)
    by_name[reference.names[i]] = reference.lab[i];
  std::vector<Lab> lab;
  for (const Region& patch : patches) {
    const auto found = by_name.find(patch.name);
    if (found == by_name.end()) return bad_input("the reference has no patch '" + patch.name + "'");
    lab.push_back(found->second);
  }
  return lab;
}

std::vector<ToleranceRow> tolerance_table(const TargetFigures& f) {
  static const std::array<std::pair<const char*, double TargetFigures::*>, 4> criteria{
      {{"mean", &TargetFigures::mean_de00},
       {"90th percentile", &TargetFigures::p90_de00},
       {"largest", &TargetFigures::max_de00},
       {"white balance, largest", &TargetFigures::balance_max}}};
  const NumberTable table = reference_numbers("imaging-tolerances.csv");
  std::vector<ToleranceRow> rows;
  for (std::size_t column = 1; column < table.heading.size(); ++column)
    for (std::size_t row = 0; row < criteria.size(); ++row) {
      const double limit = table.column[column][row];
      if (limit == 0 || (row == 3 && f.neutrals == 0)) continue;
      ToleranceRow r{table.heading[column], criteria[row].first, limit, f.*criteria[row].second};
      r.limit_included = r.standard.rfind("FADGI", 0) != 0;
      r.within = r.limit_included ? r.found <= limit : r.found < limit;
      rows.push_back(std::move(r));
    }
  return rows;
}

Result<results::FlatField> flat_field(const ImageCheckRequest& request, const InputPlace& place) {
  auto photo = Photo::open({request.flat, request.photo.profile, {}, 0}, place);
  if (!photo) return photo.error();
  const ImageSize size = photo->size();
  std::vector<Region> fields;
  for (int i = 0; i < 25; ++i) {
    const int column = i % 5, row = i / 5, x = size.width * column / 5, y = size.height * row / 5;
    auto field =
        rectangle_region("field " + std::to_string(i + 1), x, y, size.width * (column + 1) / 5 - x,
                         size.height * (row + 1) / 5 - y, size);
    if (!field) return field.error();
    fields.push_back(*std::move(field));
  }
  auto colours = region_colours(photo->rows(), fields);
  if (!colours) return colours.error();
  results::FlatField flat;
  Lab mean;
  for (std::size_t i = 0; i < 25; ++i) {
    const Lab& lab = (*colours)[i].lab;
    flat.L[i] = lab.L;
    mean = {mean.L + lab.L / 25, mean.a + lab.a / 25, mean.b + lab.b / 25};
  }
  const auto [low, high] = std::minmax_element(flat.L.begin(), flat.L.end());
  flat.range_dL = *high - *low;
  for (const RegionColour& c : *colours)
    flat.largest_da_db =
        std::max(flat.largest_da_db, std::hypot(c.lab.a - mean.a, c.lab.b - mean.b));
  flat.photo = photo->statement();
  flat.limit_why = no_limit_for_evenness;
  return flat;
}

/// A correction helps when it leaves unseen patches at least 5 % nearer on average and not worse at
/// the 90th percentile; the larger one must do as much again.
void judge_corrections(ImageCheckAnswer& answer, const std::vector<Lab>& measured,
                       const std::vector<Lab>& reference) {
  double best_mean = answer.mean_de00, best_p90 = answer.p90_de00;
  auto best = PixelCorrection::Kind::none;
  for (const auto kind : {PixelCorrection::Kind::matrix, PixelCorrection::Kind::root_polynomial}) {
    auto fit = fit_correction(measured, reference, kind);
    if (!fit) {
      answer.warnings.push_back(fit.error().message);
      continue;
    }
    if (fit->unseen_mean_de00 < 0.95 * best_mean && fit->unseen_p90_de00 <= best_p90) {
      best = kind;
      best_mean = fit->unseen_mean_de00;
      best_p90 = fit->unseen_p90_de00;
    }
    answer.corrections.push_back({*std::move(fit), false});
  }
  for (results::TriedCorrection& tried : answer.corrections)
    tried.helps = tried.fit.correction.kind == best;
  if (best == PixelCorrection::Kind::none)
    answer.correction_advice =
        "No correction helps patches that it has not seen; measure the photograph as it is.";
  else
    answer.correction_advice =
        "A correction by " + std::string(name_of(best)) + " brings unseen patches from " +
        fixed(answer.mean_de00, 2) + " to " + fixed(best_mean, 2) +
        " DeltaE00 on average. It is applied only where you name its file with --correction.";
}

Result<void> keep_best(const ImageCheckRequest& request, ImageCheckAnswer& answer) {
  for (const results::TriedCorrection& tried : answer.corrections)
    if (tried.helps) {
      auto kept = keep({tried.fit, answer.photo.file, answer.photo.profile,
                        request.reference.files.front(), answer.patches.size(), answer.mean_de00},
                       request.keep_correction);
      if (!kept) return kept;
      answer.kept = request.keep_correction;
    }
  if (answer.kept.empty()) answer.warnings.push_back("no correction was kept, since none helps");
  return {};
}

void put_figures(ImageCheckAnswer& answer, const TargetFigures& f) {
  answer.mean_de00 = f.mean_de00;
  answer.p90_de00 = f.p90_de00;
  answer.max_de00 = f.max_de00;
  answer.worst_patch = answer.patches[f.worst].name;
  answer.neutrals = f.neutrals;
  if (f.neutrals > 0) {
    answer.balance_mean = f.balance_mean;
    answer.balance_max = f.balance_max;
  }
  answer.mean_dL = f.mean_dL;
  answer.tilt_dL = f.tilt_dL;
  answer.tolerances = tolerance_table(f);
  answer.caution = not_a_match;
}

}  // namespace

Result<ImageCheckAnswer> image_check(const ImageCheckRequest& request, const InputPlace& place) {
  if (auto sound = check_own(request.own); !sound) return sound.error();
  ImageCheckAnswer answer;
  auto reference = read_reference(request.reference, place, answer.warnings);
  if (!reference) return reference.error();
  auto photo = Photo::open(request.photo, place);
  if (!photo) return photo.error();
  auto patches = patches_of(request, place, *reference, photo->size());
  if (!patches) return patches.error();
  auto ought = matched(*patches, *reference);
  if (!ought) return ought.error();
  auto colours = region_colours(photo->rows(), *patches);
  if (!colours) return colours.error();
  const TargetFigures figures = target_figures(*colours, *ought);
  std::vector<Lab> measured;
  for (std::size_t i = 0; i < colours->size(); ++i) {
    const RegionColour& c = (*colours)[i];
    const SignedDifference d = signed_difference((*ought)[i], c.lab);
    answer.patches.push_back(
        {c.name, c.pixels, c.lab, (*ought)[i], figures.de00[i], d.dL, d.da, d.db, c.spread_dL});
    measured.push_back(c.lab);
    if (c.spread_dL > 3)
      answer.warnings.push_back("patch '" + c.name + "' is uneven (L* varies by " +
                                fixed(c.spread_dL, 1) +
                                "): does its rectangle reach over its edge?");
  }
  put_figures(answer, figures);
  answer.photo = photo->statement();
  judge_corrections(answer, measured, *ought);
  if (!request.flat.empty()) {
    auto flat = flat_field(request, place);
    if (!flat) return flat.error();
    answer.flat = *std::move(flat);
  }
  if (!request.keep_correction.empty())
    if (auto kept = keep_best(request, answer); !kept) return kept.error();
  return answer;
}

}  // namespace mendtone::app
