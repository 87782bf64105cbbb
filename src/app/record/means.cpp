#include "mendtone/app/record/means.hpp"

#include <algorithm>
#include <string_view>
#include <unordered_map>

#include "mendtone/colour/repeats.hpp"
#include "mendtone/record/unreadable.hpp"
#include "mendtone/spectral/reading_set.hpp"

namespace mendtone::app {
namespace {

using record::Kept;
using record::KeptReading;

bool belong_together(const KeptReading& a, const KeptReading& b) {
  return a.reading.name == b.reading.name && a.sheet == b.sheet && a.spot == b.spot &&
         a.loss == b.loss && a.tissue == b.tissue && a.trial == b.trial && a.bath == b.bath &&
         a.stage == b.stage && a.offcut == b.offcut && a.light_dose_lx_h == b.light_dose_lx_h &&
         same_conditions(a.reading, b.reading);
}

BoundLab mean_lab(const std::vector<const Kept<KeptReading>*>& group, Averaged averaged) {
  BoundLab mean = *group.front()->value.reading.lab;
  std::vector<Lab> each;
  for (const auto* kept : group) {
    const BoundLab& lab = *kept->value.reading.lab;
    each.push_back({lab.L, lab.a, lab.b});
  }
  Lab middle;
  if (averaged == Averaged::together) {
    middle = robust_mean(each);
  } else {
    for (const Lab& one : each) middle = {middle.L + one.L, middle.a + one.a, middle.b + one.b};
    const double n = static_cast<double>(each.size());
    middle = {middle.L / n, middle.a / n, middle.b / n};
  }
  mean.L = middle.L;
  mean.a = middle.a;
  mean.b = middle.b;
  return mean;
}

record::Mean mean_of(const std::vector<const Kept<KeptReading>*>& group, Averaged averaged) {
  const KeptReading& first = group.front()->value;
  record::Mean mean;
  mean.reading = first.reading;
  mean.reading.repeat.clear();
  mean.reading.source = {first.reading.source.file, 0, 0};
  Repeats repeats;
  for (const auto* kept : group) {
    repeats.readings.push_back(kept->value.reading);
    mean.of.push_back(kept->id);
  }
  mean.reading.lab.reset();
  if (repeats.spectral())
    mean.reading.spectrum = averaged == Averaged::together ? *mean_spectrum(repeats)
                                                           : *plain_mean_spectrum(repeats);
  else
    mean.reading.lab = mean_lab(group, averaged);
  mean.sheet = first.sheet;
  mean.spot = first.spot;
  mean.loss = first.loss;
  mean.tissue = first.tissue;
  mean.trial = first.trial;
  mean.bath = first.bath;
  mean.stage = first.stage;
  mean.offcut = first.offcut;
  mean.light_dose_lx_h = first.light_dose_lx_h;
  return mean;
}

}  // namespace

std::vector<record::Mean> means_of(const std::vector<Kept<KeptReading>>& readings,
                                   Averaged averaged) {
  std::vector<std::vector<const Kept<KeptReading>*>> groups;
  std::unordered_map<std::string_view, std::vector<std::size_t>> of_name;
  for (const auto& kept : readings) {
    auto& here = of_name[kept.value.reading.name];
    const auto found = std::find_if(here.begin(), here.end(), [&](std::size_t group) {
      return belong_together(groups[group].front()->value, kept.value);
    });
    if (found != here.end()) {
      groups[*found].push_back(&kept);
    } else {
      here.push_back(groups.size());
      groups.push_back({&kept});
    }
  }
  std::vector<record::Mean> means;
  for (const auto& group : groups)
    if (group.size() > 1) means.push_back(mean_of(group, averaged));
  return means;
}

Result<void> renew_means(record::Store& store, const std::vector<record::Id>& readings,
                         const record::Entry& entry) {
  // A mean that cannot be understood is not of this reading, or a recheck names it.
  std::vector<record::Unreadable> unreadable;
  auto means = record::current<record::Mean>(store, {}, unreadable);
  if (!means) return means.error();
  record::Entry because = entry;
  because.why = (readings.size() == 1 ? "reading #" + std::to_string(readings.front())
                                      : std::to_string(readings.size()) + " readings") +
                ": " + entry.why;
  for (const Kept<record::Mean>& mean : *means) {
    const auto& of = mean.value.of;
    if (std::find_first_of(of.begin(), of.end(), readings.begin(), readings.end()) == of.end())
      continue;
    std::vector<Kept<KeptReading>> still;
    for (record::Id id : of)
      if (auto one = record::get<KeptReading>(store, id)) still.push_back(*std::move(one));
    const std::vector<record::Mean> now = means_of(still);
    if (now.empty()) {
      if (auto gone = store.withdraw("mean", mean.id, because); !gone) return gone;
      continue;
    }
    const auto largest = std::max_element(
        now.begin(), now.end(),
        [](const record::Mean& a, const record::Mean& b) { return a.of.size() < b.of.size(); });
    if (auto id = record::correct(store, mean.id, *largest, because); !id) return id.error();
  }
  return {};
}

}  // namespace mendtone::app
