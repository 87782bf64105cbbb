#pragma once
#include <string>
#include <string_view>

#include "formats/raw.hpp"
#include "formats/sniff.hpp"
#include "fuzz/demand.hpp"
#include "mendtone/formats/read.hpp"
#include "mendtone/formats/write.hpp"

namespace mendtone::fuzz {

/// What every reading of every file promises.
inline void check(const Result<ReadFile>& file) {
  if (!file) {
    demand(!file.error().message.empty(), "a refusal says why");
    demand(file.error().code == ErrorCode::bad_input, "a bad file is bad input");
    return;
  }
  demand(!file->readings.empty(), "no file is read as zero readings");
  for (const Reading& r : file->readings) {
    demand(r.spectrum || r.lab, "a reading has a spectrum or a Lab");
    demand(!r.name.empty(), "a reading has a name");
    if (r.spectrum) demand(r.spectrum->value.size() == r.spectrum->grid.size(), "a value a band");
    if (r.lab) demand(!r.lab->light.empty() && r.lab->observer_deg > 0, "a Lab is bound");
  }
}

inline bool same(const Reading& a, const Reading& b) {
  if (a.name != b.name || a.backing != b.backing || a.condition != b.condition) return false;
  if (a.spectrum.has_value() != b.spectrum.has_value()) return false;
  return !a.spectrum ||
         (a.spectrum->grid == b.spectrum->grid && a.spectrum->value == b.spectrum->value);
}

/// What was read can be written as CSV and read again, number for number.
inline void check_round_trip(const ReadFile& file) {
  if (file.readings.size() > 50) return;
  const auto again = read_readings(readings_to_csv(file.readings), "again");
  // Bands that only some readings have may leave holes that a reader refuses.
  if (!again) return;
  demand(again->readings.size() == file.readings.size(), "as many readings come back");
  for (std::size_t i = 0; i < file.readings.size(); ++i)
    demand(same(file.readings[i], again->readings[i]), "readings come back as they were");
}

/// One file through one format's reader, or through all of it where `format` is empty. The replay
/// test and the fuzzers share it.
inline int feed(std::string_view format, std::string_view bytes) {
  using namespace formats;
  Result<ReadFile> file = bad_input("nothing was read");
  const auto decoded = decode(bytes, "f");
  if (format.empty() || !decoded) {
    file = read_readings(bytes, "f");
  } else {
    const std::string_view text = decoded->text();
    Result<RawFile> raw = format == "csv"     ? read_csv(text, "f", {})
                          : format == "cgats" ? read_cgats(text, "f")
                          : format == "cxf"   ? read_cxf(text, "f")
                                              : read_jcamp(text, "f");
    if (raw)
      file = finish(*std::move(raw), "f", {});
    else
      file = raw.error();
  }
  check(file);
  if (file) check_round_trip(*file);
  return 0;
}

}  // namespace mendtone::fuzz
