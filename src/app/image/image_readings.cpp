#include "app/image/image_readings.hpp"

namespace mendtone::app {

Result<ToneAnswer> tones_under_d50(const results::Sources& sources, const InputPlace& place) {
  auto file = load(sources, place);
  if (!file) return file.error();
  auto viewed = viewing({{"D50"}, 2}, {}, place);
  if (!viewed) return viewed.error();
  return tone_of(*file, *viewed, false);
}

}  // namespace mendtone::app
