#include <algorithm>
#include <filesystem>

#include "app/report/report_parts.hpp"
#include "mendtone/adapters/screen_colour.hpp"
#include "mendtone/colour/mean_region.hpp"
#include "mendtone/colour/repeats.hpp"
#include "mendtone/spectral/doubts.hpp"

namespace mendtone::app {
namespace {

report::Curve curve_of(const Repeats& repeats) {
  report::Curve curve;
  const Spectrum mean = *mean_spectrum(repeats);
  curve.nm.assign(mean.grid.nm().begin(), mean.grid.nm().end());
  curve.mean = mean.value;
  if (repeats.readings.size() < 2) return curve;
  curve.low = curve.high = repeats.first().spectrum->value;
  for (const Reading& reading : repeats.readings)
    for (std::size_t i = 0; i < curve.low.size(); ++i) {
      curve.low[i] = std::min(curve.low[i], reading.spectrum->value[i]);
      curve.high[i] = std::max(curve.high[i], reading.spectrum->value[i]);
    }
  return curve;
}

std::string stated(std::string_view name) {
  return name == "unstated" ? "" : std::string(name);
}

void describe(report::Reading& r, const Repeats& repeats, const RepeatedColour& colour) {
  const Reading& first = repeats.first();
  r.n = static_cast<int>(repeats.readings.size());
  r.spread_de00 = colour.spread_de00;
  if (const auto region = mean_region95(colour.each))
    r.region =
        report::Region{region->L_half, region->ab_major, region->ab_minor, region->ab_angle_deg,
                       std::to_string(region->n) + " repeats, Student and Hotelling"};
  r.instrument = first.instrument;
  r.geometry = first.geometry;
  r.condition = first.condition == Condition::unstated ? "" : stated(name_of(first.condition));
  r.backing = first.backing;
  r.state = first.state == State::unstated ? "" : stated(name_of(first.state));
  r.conditions.clear();
  r.warnings = doubts(repeats);
  for (const Outlier& outlier : colour.outliers)
    r.warnings.push_back("repeat " + repeat_label(repeats, outlier.index) +
                         " stands apart; it is left out of the mean");
}

}  // namespace

Result<void> add_readings(report::ReportContent& content, const ReadFile& file,
                          const std::string& stage, const Viewing& viewing) {
  for (const Repeats& repeats : group_repeats(file.readings)) {
    if (!repeats.spectral()) {
      const auto colour = bound_colour(repeats);
      if (!colour) return colour.error();
      const BoundLab& bound = *repeats.first().lab;
      report::Reading& r =
          reading_at(content, repeats.name(), stage,
                     {colour->lab, bound.light, bound.observer_deg, {}}, repeats.first().backing);
      describe(r, repeats, *colour);
      continue;
    }
    for (const Light& light : viewing.lights) {
      WeightsShelf shelf(light, viewing.observer);
      const auto weights = shelf.at(repeats.first().spectrum->grid);
      if (!weights) {
        content.unknowns.push_back("the tone of " + repeats.name() + " under " + light.name + ": " +
                                   weights.error().message);
        continue;
      }
      const RepeatedColour colour = *repeated_colour(repeats, **weights);
      report::Reading& r = reading_at(content, repeats.name(), stage,
                                      {colour.lab, light.name, degrees(viewing.observer), {}},
                                      repeats.first().backing);
      describe(r, repeats, colour);
      r.curve = curve_of(repeats);
    }
  }
  return {};
}

std::optional<double> add_picture(report::ReportContent& content, const std::string& path,
                                  const std::string& kind, const std::string& title,
                                  const std::string& caption) {
  auto made = report_picture(path, report_picture_px, Encoding::photograph);
  const std::string name = std::filesystem::path(path).filename().string();
  if (!made) {
    content.unknowns.push_back("what " + name + " shows: " + made.error().message);
    return std::nullopt;
  }
  report::Picture picture;
  picture.kind = kind;
  picture.title = title;
  picture.alt = title;
  picture.caption = caption;
  if (!made->mark.empty())
    picture.caption += (caption.empty() ? "Colours: " : " Colours: ") + made->mark + ".";
  picture.bytes = std::move(made->bytes);
  picture.width_px = made->width_px;
  picture.height_px = made->height_px;
  picture.origin = name;
  content.pictures.push_back(std::move(picture));
  return made->shrunk_by;
}

}  // namespace mendtone::app
