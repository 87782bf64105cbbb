#include "mendtone/app/means.hpp"

#include "mendtone/spectral/reading_set.hpp"

namespace mendtone::app {
namespace {

using record::Kept;
using record::KeptReading;

bool belong_together(const KeptReading& a, const KeptReading& b) {
  return a.reading.name == b.reading.name && a.sheet == b.sheet && a.spot == b.spot &&
         a.loss == b.loss && a.tissue == b.tissue && a.trial == b.trial && a.bath == b.bath &&
         a.stage == b.stage && same_conditions(a.reading, b.reading);
}

BoundLab mean_lab(const std::vector<const Kept<KeptReading>*>& group) {
  BoundLab mean = *group.front()->value.reading.lab;
  mean.L = mean.a = mean.b = 0;
  for (const auto* kept : group) {
    mean.L += kept->value.reading.lab->L;
    mean.a += kept->value.reading.lab->a;
    mean.b += kept->value.reading.lab->b;
  }
  const double n = static_cast<double>(group.size());
  mean.L /= n;
  mean.a /= n;
  mean.b /= n;
  return mean;
}

record::Mean mean_of(const std::vector<const Kept<KeptReading>*>& group) {
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
    mean.reading.spectrum = mean_spectrum(repeats);
  else
    mean.reading.lab = mean_lab(group);
  mean.sheet = first.sheet;
  mean.spot = first.spot;
  mean.loss = first.loss;
  mean.tissue = first.tissue;
  mean.trial = first.trial;
  mean.bath = first.bath;
  mean.stage = first.stage;
  return mean;
}

}  // namespace

std::vector<record::Mean> means_of(const std::vector<Kept<KeptReading>>& readings) {
  std::vector<std::vector<const Kept<KeptReading>*>> groups;
  for (const auto& kept : readings) {
    bool placed = false;
    for (auto& group : groups) {
      if (!belong_together(group.front()->value, kept.value)) continue;
      group.push_back(&kept);
      placed = true;
      break;
    }
    if (!placed) groups.push_back({&kept});
  }
  std::vector<record::Mean> means;
  for (const auto& group : groups)
    if (group.size() > 1) means.push_back(mean_of(group));
  return means;
}

}  // namespace mendtone::app
