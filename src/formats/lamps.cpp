#include "formats/lamps.hpp"

#include <algorithm>
#include <cmath>

#include "formats/raw.hpp"
#include "formats/sniff.hpp"
#include "formats/text.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone {
namespace {

using namespace formats;

// Why a lamp must reach from 400 to 700 nm: below 400 and above 700 nm lies 0.1 % of the light
// that the eye weighs (CIE 1931 y of an equal-energy light); CIE 15 sums from 380 to 780 nm.
constexpr double needed_first_nm = 400, needed_last_nm = 700;
constexpr double summed_first_nm = 380, summed_last_nm = 780;
constexpr double widest_gap_nm = 20;
// A meter's dark noise goes a little below 0; more is no power.
constexpr double deepest_noise = 0.02;
constexpr std::size_t most_bytes = 16u << 20;

std::string stem_of(std::string_view file) {
  const std::size_t slash = file.find_last_of("/\\");
  if (slash != std::string_view::npos) file.remove_prefix(slash + 1);
  const std::size_t dot = file.rfind('.');
  return std::string(dot == std::string_view::npos || dot == 0 ? file : file.substr(0, dot));
}

Result<RawLampFile> from_readings(Result<RawFile> raw) {
  if (!raw) return raw.error();
  RawLampFile lamps;
  lamps.others = std::move(raw->not_readings);
  lamps.warnings = std::move(raw->warnings);
  for (auto& table : raw->tables)
    for (RawReading& one : table) {
      if (one.nm.empty()) continue;
      RawLamp lamp;
      lamp.lamp.name = std::move(one.reading.name);
      lamp.lamp.quantity = std::move(one.what);
      lamp.lamp.stated_x = one.x;
      lamp.lamp.stated_y = one.y;
      lamp.lamp.stated_cct_K = one.cct_K;
      lamp.lamp.source = std::move(one.reading.source);
      lamp.nm = one.nm.list();
      lamp.value = std::move(one.value);
      lamps.lamps.push_back(std::move(lamp));
    }
  return lamps;
}

Result<RawLampFile> read_raw_lamps(std::string_view text, std::string_view file) {
  switch (kind_of(text)) {
    case Kind::cgats:
      return read_cgats_lamps(text, file);
    case Kind::cxf:
      return read_cxf_lamps(text, file);
    case Kind::jcamp:
      return read_jcamp_lamps(text, file);
    case Kind::tm27:
      return read_tm27_lamps(text, file);
    case Kind::csv:
      break;
  }
  return read_text_lamps(text, file);
}

std::optional<double> widest_hole(const std::vector<double>& nm) {
  for (std::size_t i = 1; i < nm.size(); ++i)
    if (nm[i] > needed_first_nm && nm[i - 1] < needed_last_nm && nm[i] - nm[i - 1] > widest_gap_nm)
      return nm[i - 1];
  return std::nullopt;
}

std::string called(const Lamp& lamp) {
  return lamp.name.empty() ? std::string("the lamp") : quoted(lamp.name);
}

/// Why this is no lamp; none where it is one. Orders and trims it on the way.
std::optional<Error> fault_of(RawLamp& raw, std::vector<Warning>& warnings) {
  const std::string where = text_of(raw.lamp.source);
  if (auto ok = make_rise(raw.nm, raw.value, raw.lamp.source); !ok) return ok.error();
  if (raw.nm.empty()) return bad_input("expected numbers, found none", where);
  const double first = raw.nm.front(), last = raw.nm.back();
  if (first > needed_first_nm || last < needed_last_nm)
    return bad_input("expected a lamp that covers 400-700 nm, found " + called(raw.lamp) +
                         " from " + nm_range(first, last),
                     where);
  trim_to_sight(raw.nm, raw.value);
  // A slipped digit (5690 for 690) reaches beyond sight and hides what is missing before it.
  if (raw.nm.empty() || raw.nm.front() > needed_first_nm || raw.nm.back() < needed_last_nm)
    return bad_input("expected a lamp that covers 400-700 nm, found " + called(raw.lamp) +
                         " with a gap: one of its wavelengths is " + shortest(last) + " nm",
                     where);
  if (const auto hole = widest_hole(raw.nm))
    return bad_input(
        "expected bands at most 20 nm apart, found none after " + shortest(*hole) + " nm", where);
  if (thin_out(raw.nm, raw.value))
    warnings.push_back({"bands of " + called(raw.lamp) +
                            " are denser than the colour tables; averaged within each nm",
                        where});
  const double peak = *std::max_element(raw.value.begin(), raw.value.end());
  const auto lowest = std::min_element(raw.value.begin(), raw.value.end());
  if (!(peak > 0)) return bad_input("expected power above 0, found none", where);
  if (*lowest < -deepest_noise * peak)
    return bad_input("a lamp's power cannot be below 0; found " + shortest(*lowest) + " at " +
                         shortest(raw.nm[static_cast<std::size_t>(lowest - raw.value.begin())]) +
                         " nm",
                     where);
  if (*lowest < 0)
    warnings.push_back({"values a little below 0 are kept as they are; the lowest is " +
                            fixed(100 * -*lowest / peak, 2) + " % of the peak",
                        where});
  return std::nullopt;
}

/// Names that stand twice get their place.
void make_names_differ(std::vector<Lamp>& lamps, std::string_view file) {
  if (lamps.size() == 1) {
    if (lamps.front().name.empty()) lamps.front().name = stem_of(file);
    return;
  }
  for (std::size_t i = 0; i < lamps.size(); ++i)
    for (std::size_t j = 0; j < i; ++j)
      if (lamps[j].name == lamps[i].name)
        lamps[i].name += (lamps[i].name.empty() ? "lamp " : " ") + std::to_string(i + 1);
}

Error no_lamp(std::string_view file, const std::vector<std::string>& others) {
  std::vector<std::string> once;
  for (const std::string& item : others)
    if (std::find(once.begin(), once.end(), item) == once.end()) once.push_back(item);
  return bad_input("no lamp in " + std::string(file) + ": found " +
                   (once.empty() ? "nothing that is a lamp's power" : listed(once, 6)) +
                   "; expected wavelengths in nm and power, such as a row '380 0.12' or "
                   "'380 nm: 0.12' for each wavelength");
}

std::vector<std::string> names_of(const LampFile& file) {
  std::vector<std::string> names;
  for (const Lamp& lamp : file.lamps) names.push_back(quoted(lamp.name));
  return names;
}

}  // namespace

namespace formats {

Result<RawLampFile> read_cgats_lamps(std::string_view text, std::string_view file) {
  return from_readings(read_cgats(text, file, Wanted::lamps));
}
Result<RawLampFile> read_cxf_lamps(std::string_view text, std::string_view file) {
  return from_readings(read_cxf(text, file, Wanted::lamps));
}
Result<RawLampFile> read_jcamp_lamps(std::string_view text, std::string_view file) {
  return from_readings(read_jcamp(text, file, Wanted::lamps));
}
Result<RawLampFile> read_tm27_lamps(std::string_view text, std::string_view file) {
  return from_readings(read_tm27(text, file, Wanted::lamps));
}

Result<LampFile> finish_lamps(RawLampFile raw, std::string_view file) {
  LampFile result;
  result.others = std::move(raw.others);
  result.warnings = std::move(raw.warnings);
  std::optional<Error> first_fault;
  for (RawLamp& one : raw.lamps) {
    if (const auto reason = not_power(one.lamp.quantity)) {
      result.others.push_back(*reason);
      continue;
    }
    if (auto fault = fault_of(one, result.warnings)) {
      result.others.push_back(fault->message);
      if (!first_fault) first_fault = std::move(fault);
      continue;
    }
    auto grid = WavelengthGrid::from_nm(std::move(one.nm));
    if (!grid) return bad_input(grid.error().message, text_of(one.lamp.source));
    one.lamp.power = Spectrum{*std::move(grid), std::move(one.value)};
    result.lamps.push_back(std::move(one.lamp));
  }
  if (result.lamps.empty() && first_fault && raw.lamps.size() == 1) return *first_fault;
  if (result.lamps.empty()) return no_lamp(file, result.others);
  make_names_differ(result.lamps, file);
  return result;
}

}  // namespace formats

Result<LampFile> read_lamps(std::string_view bytes, std::string_view file_name) {
  if (bytes.size() > most_bytes)
    return bad_input("a lamp's table is a few thousand lines; found " +
                         std::to_string(bytes.size() >> 20) + " MB, and at most 16 are read",
                     std::string(file_name));
  auto decoded = decode(bytes, file_name);
  if (!decoded) return decoded.error();
  auto raw = read_raw_lamps(decoded->text(), file_name);
  if (!raw) return raw.error();
  if (!decoded->said.empty()) raw->warnings.push_back({decoded->said, std::string(file_name)});
  return finish_lamps(*std::move(raw), file_name);
}

Result<Lamp> lamp_called(const LampFile& file, std::string_view name, std::string_view file_name) {
  if (name.empty() && file.lamps.size() == 1) return file.lamps.front();
  const std::string names = listed(names_of(file));
  if (name.empty())
    return bad_input("the file holds " + std::to_string(file.lamps.size()) + " lamps: " + names +
                         ". Say which: " + std::string(file_name) + "#NAME",
                     std::string(file_name));
  for (const Lamp& lamp : file.lamps)
    if (lamp.name == name) return lamp;
  std::vector<const Lamp*> near;
  for (const Lamp& lamp : file.lamps)
    if (same_word(lamp.name, name)) return lamp;
  for (const Lamp& lamp : file.lamps)
    if (holds(lamp.name, name) || holds(lamp.quantity, name)) near.push_back(&lamp);
  if (near.size() == 1) return *near.front();
  for (const std::string& other : file.others)
    if (near.empty() && holds(other, name))
      return bad_input("expected a lamp's power, found " + other, std::string(file_name));
  return bad_input(std::string(near.empty() ? "no lamp" : "more than one lamp") + " is called " +
                       quoted(name) + "; the file holds " + names,
                   std::string(file_name));
}

LampLight light_of(const Lamp& lamp, std::string_view file_name) {
  LampLight result;
  std::vector<double> nm(lamp.power.grid.nm().begin(), lamp.power.grid.nm().end());
  std::vector<double> power = lamp.power.value;
  const double step = (nm.back() - nm.front()) / static_cast<double>(nm.size() - 1);
  const auto bands = [&](double width) {
    return static_cast<std::size_t>(std::max(0.0, std::ceil(width / step - 1e-9)));
  };
  const std::size_t below = bands(nm.front() - summed_first_nm),
                    above = bands(summed_last_nm - nm.back());
  result.bands_held = below + above;
  std::string origin = "lamp file " + std::string(file_name);
  if (result.bands_held > 0)
    origin += ", " + nm_range(nm.front(), nm.back()) + ", end values held for " +
              std::to_string(result.bands_held) + (result.bands_held == 1 ? " band" : " bands");
  if (below > 0) {
    nm.insert(nm.begin(), summed_first_nm);
    power.insert(power.begin(), power.front());
  }
  if (above > 0) {
    nm.push_back(summed_last_nm);
    power.push_back(power.back());
  }
  // A lamp of one's own must not pass for the standard's.
  const bool taken = standard_light(lamp.name).operator bool();
  result.light = {taken ? lamp.name + ", own file" : lamp.name,
                  {*WavelengthGrid::from_nm(std::move(nm)), std::move(power)},
                  std::move(origin)};
  return result;
}

}  // namespace mendtone
