#include <cmath>

#include "formats/lamps.hpp"
#include "formats/raw.hpp"
#include "formats/words.hpp"
#include "formats/xml.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::formats {
namespace {

/// IES TM-27-14: what SpectralQuantity may say of a sheet.
std::optional<Quantity> sheet_quantity(std::string_view words) {
  if (is_one_of(words, {"reflectance", "R-Factor"})) return Quantity::reflectance;
  if (is_one_of(words, {"transmittance", "T-Factor"})) return Quantity::transmittance;
  return std::nullopt;
}

bool is_power(std::string_view words) {
  return is_one_of(
      words, {"flux", "intensity", "irradiance", "radiance", "exitance", "relative", "other"});
}

std::string name_in(const pugi::xml_node& header) {
  for (const char* element : {"Description", "CatalogNumber", "UniqueIdentifier", "ReportNumber"})
    if (const std::string name = text_in(child(header, element)); !name.empty()) return name;
  return {};
}

Result<void> read_points(const pugi::xml_node& distribution, std::string_view file,
                         const XmlLines& lines, RawReading& raw) {
  for (const pugi::xml_node& point : distribution.children()) {
    if (!same_word(local_name(point), "SpectralData")) continue;
    const std::string stated = attribute(point, "wavelength");
    const auto nm = number_of(stated), value = number_of(text_in(point));
    if (!nm || !value || *nm <= 0)
      return bad_input("expected a wavelength and a value, found " + quoted(stated) + " and " +
                           quoted(text_in(point)),
                       place(file, lines.of(point)));
    raw.nm.push_back(*nm);
    raw.value.push_back(*value);
  }
  return {};
}

}  // namespace

Result<RawFile> read_tm27(std::string_view text, std::string_view file, Wanted wanted) {
  const XmlLines lines(text);
  pugi::xml_document document;
  if (auto ok = parse_xml(document, text, file, lines); !ok) return ok.error();
  const pugi::xml_node root = document.document_element();
  const pugi::xml_node distribution = child(root, "SpectralDistribution");
  if (!distribution)
    return bad_input("expected a SpectralDistribution (IES TM-27-14), found none",
                     place(file, lines.of(root)));
  const std::string words = text_in(child(distribution, "SpectralQuantity"));
  const auto quantity = sheet_quantity(words);
  RawFile raw;
  raw.tables.emplace_back();
  const bool fits = wanted == Wanted::lamps ? is_power(words) : quantity.has_value();
  if (!fits) {
    raw.not_readings.push_back(words.empty() ? "a spectrum without its SpectralQuantity"
                                             : "a spectrum of " + words);
    return raw;
  }
  const pugi::xml_node header = child(root, "Header");
  RawReading one;
  one.reading.name = name_in(header);
  if (one.reading.name.empty() && wanted == Wanted::readings) one.reading.name = "1";
  one.reading.instrument = text_in(child(header, "MeasurementEquipment"));
  one.reading.geometry =
      text_in(child(distribution, quantity == Quantity::transmittance ? "TransmissionGeometry"
                                                                      : "ReflectionGeometry"));
  one.reading.quantity = quantity.value_or(Quantity::reflectance);
  one.reading.source = {std::string(file), lines.of(distribution), 0};
  one.emission = wanted == Wanted::lamps;
  one.what = words;
  if (auto ok = read_points(distribution, file, lines, one); !ok) return ok.error();
  if (one.nm.empty()) {
    raw.not_readings.push_back("a SpectralDistribution without SpectralData");
    return raw;
  }
  if (auto kept = raw.add(std::move(one)); !kept) return kept.error();
  return raw;
}

}  // namespace mendtone::formats
