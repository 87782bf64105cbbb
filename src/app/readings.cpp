#include "mendtone/app/readings.hpp"

#include "mendtone/adapters/files.hpp"

namespace mendtone::app {

Result<ReadFile> load(const Sources& sources) {
  ReadFile all;
  for (const std::string& path : sources.files) {
    auto bytes = read_file(path);
    if (!bytes) return bytes.error();
    auto one = read_readings(*bytes, path, {sources.scale});
    if (!one) return one.error();
    all.readings.insert(all.readings.end(), one->readings.begin(), one->readings.end());
    all.warnings.insert(all.warnings.end(), one->warnings.begin(), one->warnings.end());
  }
  return all;
}

}  // namespace mendtone::app
