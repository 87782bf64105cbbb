#include <algorithm>
#include <cmath>
#include <map>

#include "formats/csv.hpp"
#include "formats/lamps.hpp"
#include "formats/raw.hpp"
#include "formats/text.hpp"
#include "formats/words.hpp"
#include "formats/xml.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::formats {
namespace {

/// What a ColorSpecification says of the readings that refer to it.
struct Specification {
  RawReading base;
  std::string light;
  int observer_deg = 0;
  std::optional<double> start_nm, step_nm;
  std::string measurement_type;
  bool emissive = false;
};

/// "45/0", "d/8 specular included" …
std::string geometry_of(const pugi::xml_node& choice) {
  const pugi::xml_node sphere_node = child(choice, "SphereGeometry");
  const pugi::xml_node inner = sphere_node.find_child(
      [](const pugi::xml_node& node) { return node.type() == pugi::node_element; });
  const std::string sphere = text_in(inner ? inner : sphere_node);
  if (same_word(sphere, "Specular_Included")) return "d/8 specular included";
  if (same_word(sphere, "Specular_Excluded")) return "d/8 specular excluded";
  if (!sphere.empty()) return "d/8 " + sphere;
  const pugi::xml_node single = child(choice, "SingleAngle");
  const auto in = number_of(text_in(child(single, "IlluminationAngle")));
  const auto out = number_of(text_in(child(single, "MeasurementAngle")));
  if (in && out) return shortest(*in) + "/" + shortest(*out);
  if (child(choice, "MultiAngle")) return "multi-angle";
  return text_in(child(choice, "UnknownGeometry"));
}

Condition condition_of(const pugi::xml_node& device) {
  if (const auto named = condition_in(text_in(child(device, "DeviceIllumination")))) return *named;
  const std::string polarised = text_in(child(device, "DevicePolarization"));
  if (same_word(polarised, "true") || polarised == "1") return Condition::m3;
  if (same_word(text_in(child(device, "DeviceFilter")), "Filter_UVExcluded")) return Condition::m2;
  return Condition::unstated;
}

/// '4.5', '4.5 mm'; words such as 'MAV' state no size.
std::optional<double> millimetres(std::string_view text) {
  text = trim(text);
  if (text.ends_with("mm")) text = trim(text.substr(0, text.size() - 2));
  const auto value = number_of(text);
  return value && *value > 0 ? value : std::nullopt;
}

Specification specification_of(const pugi::xml_node& node) {
  Specification spec;
  const pugi::xml_node tristimulus = child(node, "TristimulusSpec");
  spec.light = light_in(text_in(child(tristimulus, "Illuminant"))).value_or("");
  spec.observer_deg = observer_in(text_in(child(tristimulus, "Observer"))).value_or(0);
  const pugi::xml_node measurement = child(node, "MeasurementSpec");
  spec.measurement_type = text_in(child(measurement, "MeasurementType"));
  const pugi::xml_node choice = child(measurement, "GeometryChoice");
  spec.emissive = holds(spec.measurement_type, "emiss") || child(choice, "EmissiveMode");
  const pugi::xml_node range = child(measurement, "WavelengthRange");
  spec.start_nm = number_of(attribute(range, "StartWL"));
  spec.step_nm = number_of(attribute(range, "Increment"));
  Reading& r = spec.base.reading;
  r.geometry = geometry_of(choice);
  r.backing = text_in(child(measurement, "Backing"));
  r.aperture_mm = millimetres(text_in(child(measurement, "Aperture")));
  const pugi::xml_node device = child(measurement, "Device");
  r.condition = condition_of(device);
  r.instrument = text_in(child(device, "Manufacturer"));
  if (const std::string model = text_in(child(device, "Model")); !model.empty())
    r.instrument += (r.instrument.empty() ? "" : " ") + model;
  if (holds(spec.measurement_type, "transmi")) r.quantity = Quantity::transmittance;
  return spec;
}

class CxfReader {
 public:
  CxfReader(std::string_view text, std::string_view file, Wanted wanted)
      : text_(text), file_(file), wanted_(wanted), lines_(text) {}

  Result<RawFile> read() {
    pugi::xml_document document;
    MENDTONE_TRY(parse_xml(document, text_, file_, lines_));
    const pugi::xml_node root = document.document_element();
    if (!same_word(local_name(root), "CxF"))
      return bad_input("expected a CxF file, found XML of the kind " + quoted(local_name(root)) +
                           ": export as CxF, CGATS, CSV or JCAMP-DX",
                       std::string(file_));
    const pugi::xml_node resources = child(root, "Resources");
    if (!resources)
      return bad_input("expected CxF version 3 with its Resources, found " +
                           (root.first_child() ? quoted(local_name(root.first_child()))
                                               : std::string("an empty file")),
                       place(file_, lines_.of(root)));
    raw_.percent_above = 3;
    none_ = specification_of(resources);  // some files put one MeasurementSpec there for all
    for (const pugi::xml_node& node : child(resources, "ColorSpecificationCollection").children())
      if (same_word(local_name(node), "ColorSpecification"))
        specifications_[attribute(node, "Id")] = specification_of(node);
    raw_.tables.emplace_back();
    for (const pugi::xml_node& node : child(resources, "ObjectCollection").children())
      if (same_word(local_name(node), "Object")) MENDTONE_TRY(read_object(node));
    if (raw_.tables.back().empty() && raw_.not_readings.empty())
      raw_.not_readings.push_back("objects without colour values");
    return std::move(raw_);
  }

 private:
  std::string where(const pugi::xml_node& node) const { return place(file_, lines_.of(node)); }

  const Specification& specification(const pugi::xml_node& value) {
    const auto found = specifications_.find(attribute(value, "ColorSpecification"));
    return found == specifications_.end() ? none_ : found->second;
  }

  Result<void> read_object(const pugi::xml_node& object) {
    const std::size_t before = raw_.tables.back().size();
    std::vector<pugi::xml_node> labs;
    for (const pugi::xml_node& value : child(object, "ColorValues").children()) {
      const std::string_view kind = local_name(value);
      if (same_word(kind, "ColorCIELab"))
        labs.push_back(value);
      else if (same_word(kind, "ReflectanceSpectrum") || same_word(kind, "TransmittanceSpectrum") ||
               same_word(kind, "CustomSpectrum") || is_emission(kind)) {
        MENDTONE_TRY(read_spectrum(object, value));
      } else if (wanted_ == Wanted::lamps && holds(kind, "CIExyY")) {
        put_chromaticity(value, before);
      } else {
        raw_.not_readings.push_back(std::string(kind));
      }
    }
    for (const pugi::xml_node& value : child(object, "DeviceColorValues").children())
      raw_.not_readings.push_back(std::string(local_name(value)));
    for (const pugi::xml_node& lab : labs) MENDTONE_TRY(read_lab(object, lab, before));
    return {};
  }

  RawReading started(const pugi::xml_node& object, const pugi::xml_node& value) {
    RawReading raw = specification(value).base;
    Reading& r = raw.reading;
    r.name = attribute(object, "Name");
    if (r.name.empty()) r.name = attribute(value, "Name");
    if (r.name.empty()) r.name = attribute(object, "Id");
    if (r.name.empty()) r.name = "object at line " + std::to_string(lines_.of(object));
    r.source = {std::string(file_), lines_.of(value), 0};
    if (r.condition == Condition::unstated)
      r.condition = condition_in(attribute(object, "ObjectType")).value_or(Condition::unstated);
    // Tags that carry our own columns' names are what those columns are.
    for (const pugi::xml_node& tags : object.children()) {
      if (!same_word(local_name(tags), "TagCollection")) continue;
      for (const pugi::xml_node& tag : tags.children()) {
        const Field field = field_from(attribute(tag, "Name"));
        if (field == Field::none || field == Field::id || field == Field::load ||
            field == Field::light || field == Field::observer)
          continue;
        if (auto ok = put(field, attribute(tag, "Value"), '.', raw); !ok)
          raw_.warn("a tag was not read: " + ok.error().message, where(tag));
      }
    }
    return raw;
  }

  /// 'EmissiveSpectrum' and its like.
  static bool is_emission(std::string_view kind) {
    return holds(kind, "emiss") && kind.ends_with("Spectrum");
  }

  /// x and y beside the spectra of an object are those of its lamps.
  void put_chromaticity(const pugi::xml_node& value, std::size_t first_of_object) {
    auto& table = raw_.tables.back();
    for (std::size_t i = first_of_object; i < table.size(); ++i) {
      table[i].x = number_of(text_in(child(value, "x")));
      table[i].y = number_of(text_in(child(value, "y")));
    }
  }

  Result<void> read_spectrum(const pugi::xml_node& object, const pugi::xml_node& value) {
    const Specification& spec = specification(value);
    const std::string_view kind = local_name(value);
    const bool emission = spec.emissive || is_emission(kind);
    if (emission != (wanted_ == Wanted::lamps)) {
      raw_.not_readings.push_back(emission ? "an emission spectrum" : "a spectrum of a sheet");
      return {};
    }
    if (!emission && same_word(kind, "CustomSpectrum") && !quantity_in(spec.measurement_type)) {
      raw_.not_readings.push_back("a custom spectrum that is not said to be reflectance");
      return {};
    }
    RawReading raw = started(object, value);
    raw.emission = emission;
    if (emission) raw.what = spec.measurement_type;
    if (same_word(kind, "TransmittanceSpectrum")) raw.reading.quantity = Quantity::transmittance;
    if (same_word(kind, "ReflectanceSpectrum")) raw.reading.quantity = Quantity::reflectance;
    MENDTONE_TRY(same_word(kind, "CustomSpectrum") ? read_points(value, raw)
                                                   : read_values(value, spec, raw));
    specification_of_reading_.resize(raw_.tables.back().size() + 1);
    specification_of_reading_.back() = attribute(value, "ColorSpecification");
    return raw_.add(std::move(raw));
  }

  Result<void> read_points(const pugi::xml_node& value, RawReading& raw) {
    for (const pugi::xml_node& point : value.children()) {
      const auto nm = number_of(attribute(point, "WL"));
      const auto y = number_of(text_in(point));
      if (!nm || !y || *nm <= 0)
        return bad_input("expected a wavelength and a value, found " +
                             quoted(attribute(point, "WL")) + " and " + quoted(text_in(point)),
                         where(point));
      raw.nm.push_back(*nm);
      raw.value.push_back(*y);
    }
    return {};
  }

  Result<void> read_values(const pugi::xml_node& value, const Specification& spec,
                           RawReading& raw) {
    const std::string_view text = value.text().get();
    std::vector<std::string_view> words;
    DecimalSign sign;
    for (std::size_t i = 0; i < text.size();) {
      const std::size_t from = text.find_first_not_of(" \t\r\n;", i);
      if (from == std::string_view::npos) break;
      i = std::min(text.find_first_of(" \t\r\n;", from), text.size());
      words.push_back(text.substr(from, i - from));
      sign.look_at(words.back());
    }
    for (const std::string_view word : words) {
      const auto number = number_in(word, sign.sign());
      if (!number)
        return bad_input("expected numbers, found " + quoted(word) + " in the spectrum of '" +
                             raw.reading.name + "'",
                         where(value));
      raw.value.push_back(*number);
    }
    if (raw.value.size() < 2)
      return bad_input("expected a spectrum, found " + std::to_string(raw.value.size()) +
                           " values for '" + raw.reading.name + "'",
                       where(value));
    return make_grid(value, spec, raw);
  }

  Result<void> make_grid(const pugi::xml_node& value, const Specification& spec, RawReading& raw) {
    auto start = number_of(attribute(value, "StartWL"));
    auto step = number_of(attribute(value, "Increment"));
    if (start && spec.start_nm && *start != *spec.start_nm)
      raw_.warn("the spectrum begins at " + shortest(*start) + " nm, its specification says " +
                    shortest(*spec.start_nm) + " nm; the spectrum counts",
                where(value));
    if (!start) start = spec.start_nm;
    if (!step) step = spec.step_nm;
    if (!start || *start <= 0)
      return bad_input("expected StartWL, the first wavelength, found none", where(value));
    const double n = static_cast<double>(raw.value.size());
    if (!step) {
      // Ten nm is what nearly every instrument writes; it is believed where it ends like one.
      const double last = *start + 10 * (n - 1);
      if (last < 680 || last > 830)
        return bad_input("expected WavelengthRange with its Increment, found none", where(value));
      step = 10;
      if (!said_step_)
        raw_.warn("no step of the wavelengths is stated; 10 nm was taken", where(value));
      said_step_ = true;
    }
    if (*step <= 0)
      return bad_input("expected an Increment above 0, found " + shortest(*step), where(value));
    for (std::size_t i = 0; i < raw.value.size(); ++i)
      raw.nm.push_back(*start + *step * static_cast<double>(i));
    return {};
  }

  /// Put beside the object's spectrum of the same specification; a reading of its own only where
  /// the object has no spectrum.
  Result<void> read_lab(const pugi::xml_node& object, const pugi::xml_node& value,
                        std::size_t first_of_object) {
    const Specification& spec = specification(value);
    if (spec.emissive || wanted_ == Wanted::lamps) {
      raw_.not_readings.push_back(spec.emissive ? "L*a*b* of a light" : "L*a*b*");
      return {};
    }
    BoundLab lab;
    double* axes[] = {&lab.L, &lab.a, &lab.b};
    const std::string_view names[] = {"L", "A", "B"};
    for (int k = 0; k < 3; ++k) {
      const auto number = number_of(text_in(child(value, names[k])));
      if (!number)
        return bad_input("expected a number as " + std::string(names[k]) + " of L*a*b*, found " +
                             quoted(text_in(child(value, names[k]))),
                         where(value));
      *axes[k] = *number;
    }
    lab.light = spec.light;
    lab.observer_deg = spec.observer_deg;
    auto& table = raw_.tables.back();
    const std::string its_specification = attribute(value, "ColorSpecification");
    bool has_spectrum = false;
    for (std::size_t i = first_of_object; i < table.size(); ++i) {
      has_spectrum = has_spectrum || !table[i].nm.empty();
      if (table[i].reading.lab || specification_of_reading_[i] != its_specification) continue;
      table[i].reading.lab = lab;
      return {};
    }
    if (has_spectrum) return {};
    RawReading raw = started(object, value);
    raw.reading.lab = lab;
    specification_of_reading_.resize(table.size() + 1);
    return raw_.add(std::move(raw));
  }

  std::string_view text_, file_;
  Wanted wanted_;
  XmlLines lines_;
  RawFile raw_;
  std::map<std::string, Specification> specifications_;
  std::vector<std::string> specification_of_reading_;
  Specification none_;
  bool said_step_ = false;
};

}  // namespace

Result<RawFile> read_cxf(std::string_view text, std::string_view file, Wanted wanted) {
  return CxfReader(text, file, wanted).read();
}

}  // namespace mendtone::formats
