#include "mendtone/app/tone/tone.hpp"

#include "app/inputs/text.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/brightener.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/colour/repeats.hpp"
#include "mendtone/spectral/doubts.hpp"

namespace mendtone::app {
namespace {

std::string outlier_text(const Repeats& repeats, const Outlier& outlier) {
  return "repeat " + repeat_label(repeats, outlier.index) +
         " stands apart: " + fixed(outlier.de00, 2) + " DeltaE00 from the median of the " +
         std::to_string(repeats.readings.size()) + ", where " + fixed(outlier.usual_de00, 2) +
         " is usual; it is left out of the mean: look at it, and read it again";
}

Tone described(const Repeats& repeats, const RepeatedColour& colour, std::string light,
               int observer_deg) {
  Tone tone;
  tone.name = repeats.name();
  tone.light = std::move(light);
  tone.observer_deg = observer_deg;
  tone.xyz = colour.xyz;
  tone.lab = colour.lab;
  tone.lch = lab_to_lch(colour.lab);
  tone.n = repeats.readings.size();
  tone.spread_de00 = colour.spread_de00;
  tone.quantity = repeats.first().quantity;
  tone.conditions = conditions_of(repeats.first());
  tone.warnings = doubts(repeats);
  for (const Outlier& outlier : colour.outliers) {
    tone.outliers.push_back(repeat_label(repeats, outlier.index));
    tone.warnings.push_back(outlier_text(repeats, outlier));
  }
  return tone;
}

/// A file's own L*a*b* beside its spectra: a check on scale, light and program.
void check_against_own_lab(const Repeats& repeats, const RepeatedColour& colour, Tone& tone) {
  const auto& own = repeats.first().lab;
  if (!own || own->light != tone.light || own->observer_deg != tone.observer_deg) return;
  const double apart = de00({own->L, own->a, own->b}, colour.each.front());
  if (apart > 0.3)
    tone.warnings.push_back("the file's own L*a*b* lies " + fixed(apart, 2) +
                            " DeltaE00 from the colour of its spectrum");
}

std::vector<WeightsShelf> shelves_for(const Viewing& viewing) {
  std::vector<WeightsShelf> shelves;
  for (const Light& light : viewing.lights) shelves.emplace_back(light, viewing.observer);
  return shelves;
}

struct ToneWork {
  const Viewing& viewing;
  bool own_light;
  std::vector<Brightener> brighteners;
  ToneAnswer answer;
};

void warn_of_brightener(const ToneWork& work, Tone& tone) {
  for (const Brightener& found : work.brighteners)
    if (found.flagged && found.name == tone.name && tone.light != "D50")
      tone.warnings.push_back("a brightener was found (M1 against M2: " + fixed(found.de00, 2) +
                              " DeltaE00, b* " + fixed_signed(found.db, 2) +
                              "): the colour under " + tone.light +
                              " cannot be predicted from this reading, only under D50");
}

Result<void> spectral_tones(const Repeats& repeats, std::vector<WeightsShelf>& shelves,
                            ToneWork& work) {
  for (WeightsShelf& shelf : shelves) {
    const auto weights = shelf.at(repeats.first().spectrum->grid);
    if (!weights) {
      if (weights.error().code != ErrorCode::bad_input) return weights.error();
      work.answer.refused.push_back({repeats.name(), shelf.light().name, weights.error().message});
      continue;
    }
    const RepeatedColour colour = *repeated_colour(repeats, **weights);
    Tone tone = described(repeats, colour, shelf.light().name, degrees(shelf.observer()));
    check_against_own_lab(repeats, colour, tone);
    warn_of_brightener(work, tone);
    work.answer.tones.push_back(std::move(tone));
  }
  return {};
}

std::string bound_name(const BoundLab& bound) {
  return bound.light + ", " + std::to_string(bound.observer_deg) + " degrees";
}

Result<void> bound_tones(const Repeats& repeats, ToneWork& work) {
  const BoundLab& bound = *repeats.first().lab;
  const auto colour = bound_colour(repeats);
  if (!colour)
    return Error{colour.error().code, colour.error().message, text_of(repeats.first().source)};
  const std::string reason = "this reading is L*a*b* only, bound to " + bound_name(bound) +
                             "; without a spectrum it has no colour under another light";
  Tone tone = described(repeats, *colour, bound.light, bound.observer_deg);
  if (work.own_light) {
    tone.warnings.push_back("L*a*b* only: shown under its own light and observer, " +
                            bound_name(bound));
    work.answer.tones.push_back(std::move(tone));
    return {};
  }
  for (const Light& light : work.viewing.lights) {
    if (light.name == bound.light && degrees(work.viewing.observer) == bound.observer_deg)
      work.answer.tones.push_back(tone);
    else
      work.answer.refused.push_back({repeats.name(), light.name, reason});
  }
  return {};
}

}  // namespace

std::string conditions_of(const Reading& reading) {
  std::vector<std::string> parts;
  if (!reading.backing.empty()) parts.push_back("over " + reading.backing);
  if (reading.plies)
    parts.push_back(counted(static_cast<std::size_t>(*reading.plies), "ply", "plies"));
  if (reading.side != Side::unstated) parts.push_back(std::string(name_of(reading.side)));
  if (!reading.geometry.empty()) parts.push_back(reading.geometry);
  if (reading.condition != Condition::unstated)
    parts.push_back(std::string(name_of(reading.condition)));
  if (reading.state != State::unstated) parts.push_back(std::string(name_of(reading.state)));
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "" : ", ") + part;
  return text;
}

Result<ToneAnswer> tone_of(const ReadFile& file, const Viewing& viewing, bool own_light) {
  const std::vector<Repeats> groups = group_repeats(file.readings);
  auto found = brighteners(groups);
  ToneWork work{viewing, own_light, found ? *std::move(found) : std::vector<Brightener>{}, {}};
  for (const Light& light : viewing.lights) work.answer.lights.push_back(results::named(light));
  work.answer.observer_deg = degrees(viewing.observer);
  work.answer.warnings = lines_of(viewing.warnings);
  for (const Warning& warning : file.warnings) work.answer.warnings.push_back(line_of(warning));
  std::vector<WeightsShelf> shelves = shelves_for(viewing);
  for (const Repeats& repeats : groups) {
    auto done =
        repeats.spectral() ? spectral_tones(repeats, shelves, work) : bound_tones(repeats, work);
    if (!done) return done.error();
  }
  if (!work.answer.tones.empty()) return std::move(work.answer);
  if (work.answer.refused.empty()) return bad_input("there is no reading to show");
  const results::Refused& first = work.answer.refused.front();
  return bad_input("no tone under " + first.light + ": " + first.reason, first.name);
}

Result<std::vector<Reading>> readings_of(const ToneRequest& request, const InputPlace& place) {
  auto file = load(request.sources, place);
  if (!file) return file.error();
  return std::move(file->readings);
}

Result<ToneAnswer> tone(const ToneRequest& request, const InputPlace& place) {
  const auto asked = viewing(request.viewing, {"D65"}, place);
  if (!asked) return asked.error();
  const auto file = load(request.sources, place);
  if (!file) return file.error();
  return tone_of(*file, *asked, request.viewing.lights.empty());
}

}  // namespace mendtone::app
