#include "formats/jcamp.hpp"

#include <algorithm>
#include <cmath>

#include "formats/lamps.hpp"
#include "formats/raw.hpp"
#include "formats/words.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::formats {
namespace {

/// The axes of one table, from the block's records or, in NTUPLES, from the columns of its lists.
struct Axes {
  std::string x_units, y_units;
  std::optional<double> first, last, points, x_factor, y_factor, delta;
};

std::vector<std::string> comma_list(const std::string& text) {
  std::vector<std::string> items;
  std::string_view rest = text;
  for (bool more = true; more;) {
    const std::size_t comma = rest.find(',');
    items.emplace_back(trim(rest.substr(0, comma)));
    more = comma != std::string_view::npos;
    if (more) rest.remove_prefix(comma + 1);
  }
  return items;
}

Axes plain_axes(const JcampBlock& block) {
  return {block.text("xunits"),    block.text("yunits"),    block.number("firstx"),
          block.number("lastx"),   block.number("npoints"), block.number("xfactor"),
          block.number("yfactor"), block.number("deltax")};
}

/// "(X++(R..R)), XYDATA" names the symbols of its two axes.
Axes ntuples_axes(const JcampBlock& block, const JcampTable& table) {
  Axes axes;
  const std::string form = squeezed(table.form);
  if (form.size() < 2) return axes;
  const std::string x_symbol(1, form[0]), y_symbol(1, form[1]);
  const auto symbols = comma_list(block.text("symbol"));
  const auto column_of = [&](const std::string& symbol) -> std::size_t {
    for (std::size_t i = 0; i < symbols.size(); ++i)
      if (same_word(symbols[i], symbol)) return i;
    return symbols.size();
  };
  const auto item = [&](const char* label, std::size_t i) -> std::string {
    const auto items = comma_list(block.text(label));
    return i < items.size() ? items[i] : std::string();
  };
  const std::size_t x = column_of(x_symbol), y = column_of(y_symbol);
  axes.x_units = item("units", x);
  axes.y_units = item("units", y);
  axes.first = number_in(item("first", x), '.');
  axes.last = number_in(item("last", x), '.');
  axes.x_factor = number_in(item("factor", x), '.');
  axes.y_factor = number_in(item("factor", y), '.');
  axes.points = number_in(item("vardim", y), '.');
  if (const auto at = table.page.find("npoints"); at != table.page.end())
    axes.points = number_in(at->second.text, '.');
  return axes;
}

enum class XKind { nm, micrometre, angstrom, wavenumber, other };

XKind x_kind(const std::string& units) {
  const std::string plain = squeezed(units);
  if (plain == "nm" || plain.starts_with("nanomet") || plain == "wavelengthnm") return XKind::nm;
  if (plain.starts_with("micromet") || plain == "um" || plain.starts_with("micron"))
    return XKind::micrometre;
  if (plain.starts_with("angstrom")) return XKind::angstrom;
  if (plain == "1cm" || plain == "cm1" || plain.starts_with("wavenumber")) return XKind::wavenumber;
  return XKind::other;
}

/// What a block is, for 'no reading in FILE: found …': "infrared spectrum 400-4000 1/cm".
std::string described(const JcampBlock& block, const Axes& axes) {
  std::string type = lower(block.text("datatype"));
  if (type.empty()) type = "spectrum";
  if (axes.first && axes.last)
    type += " " + shortest(std::min(*axes.first, *axes.last)) + "-" +
            shortest(std::max(*axes.first, *axes.last));
  if (!axes.x_units.empty()) type += " " + lower(axes.x_units);
  if (!quantity_in(axes.y_units) && !axes.y_units.empty()) type += " in " + lower(axes.y_units);
  return type;
}

class BlockReader {
 public:
  BlockReader(const JcampBlock& block, std::string_view file, Wanted wanted, RawFile& raw)
      : block_(block), file_(file), wanted_(wanted), raw_(raw) {}

  Result<void> read() {
    for (const JcampTable& table : block_.tables) MENDTONE_TRY(read_table(table));
    const std::string type = lower(block_.text("datatype"));
    if (block_.tables.empty() && type != "link")
      raw_.not_readings.push_back(type.empty() ? "a block without data" : type + " without data");
    return {};
  }

 private:
  Result<void> read_table(const JcampTable& table) {
    const bool ntuples = table.label == "datatable";
    const Axes axes = ntuples ? ntuples_axes(block_, table) : plain_axes(block_);
    const std::string what = described(block_, axes);
    if (table.label == "peaktable" || table.label == "peakassignments") {
      raw_.not_readings.push_back(what + " as a list of peaks");
      return {};
    }
    if (table.label == "radata") {
      raw_.not_readings.push_back(what + " as an interferogram");
      return {};
    }
    const XKind kind = x_kind(axes.x_units);
    const auto quantity = quantity_in(axes.y_units);
    const bool lamps = wanted_ == Wanted::lamps;
    if (kind == XKind::other || holds(axes.y_units, "log") || quantity.has_value() == lamps) {
      raw_.not_readings.push_back(what);
      return {};
    }
    if (const auto reason = not_power(axes.y_units); lamps && reason) {
      raw_.not_readings.push_back(*reason);
      return {};
    }
    auto points = MENDTONE_TRY(values(table, axes));
    RawReading raw;
    raw.reading.source = {std::string(file_), table.line, 0};
    raw.reading.quantity = quantity.value_or(Quantity::reflectance);
    raw.emission = lamps;
    raw.what = lamps ? axes.y_units : what;
    raw.has_holes = !points.warnings.empty();
    set_conditions(raw, table);
    set_scale(raw, axes);
    raw.value = std::move(points.y);
    raw.nm = in_nm(std::move(points.x), kind, table);
    for (const std::string& warning : points.warnings) raw_.warn(warning, place(file_, table.line));
    if (raw.nm.empty()) {
      raw_.not_readings.push_back(what);
      return {};
    }
    // Each block states its own scale, so each is a table of its own.
    raw_.tables.emplace_back();
    return raw_.add(std::move(raw));
  }

  Result<JcampPoints> values(const JcampTable& table, const Axes& axes) {
    const double x_factor = axes.x_factor.value_or(1), y_factor = axes.y_factor.value_or(1);
    if (x_factor == 0 || y_factor == 0)
      return bad_input("expected XFACTOR and YFACTOR other than 0", place(file_, table.line));
    if (table.label == "xypoints" || table.form.find("++") == std::string::npos)
      return read_pairs(table, x_factor, y_factor, file_);
    JcampRun run;
    run.first = axes.first;
    run.last = axes.last;
    run.delta = axes.delta;
    run.x_factor = x_factor;
    run.y_factor = y_factor;
    if (axes.points) {
      if (*axes.points < 2 || *axes.points > 1e8 || *axes.points != std::floor(*axes.points))
        return bad_input("expected NPOINTS of 2 or more, found " + shortest(*axes.points),
                         place(file_, table.line));
      run.points = static_cast<std::size_t>(*axes.points);
    }
    return read_running_x(table, run, file_);
  }

  void set_conditions(RawReading& raw, const JcampTable& table) const {
    Reading& r = raw.reading;
    r.name = block_.text("title");
    if (const auto page = table.page.find("page");
        page != table.page.end() && block_.tables.size() > 1)
      r.name += (r.name.empty() ? "" : ", ") + page->second.text;
    if (r.name.empty()) r.name = "block at line " + std::to_string(block_.line);
    for (const char* label : {"spectrometerdatasystem", "spectrometer", "instrument"})
      if (r.instrument.empty()) r.instrument = block_.text(label);
  }

  static void set_scale(RawReading& raw, const Axes& axes) {
    const std::string units = lower(axes.y_units);
    if (scale_in(units) || holds(units, "pct")) raw.stated = Scale::percent;
  }

  /// Wavelengths in nm; empty where X holds what is no wavelength.
  std::vector<double> in_nm(std::vector<double> x, XKind kind, const JcampTable& table) {
    if (std::any_of(x.begin(), x.end(), [](double v) { return v <= 0; })) return {};
    if (kind == XKind::nm) return x;
    for (double& v : x)
      v = kind == XKind::micrometre ? 1000 * v : kind == XKind::angstrom ? v / 10 : 1e7 / v;
    raw_.warn(std::string(kind == XKind::micrometre ? "micrometres"
                          : kind == XKind::angstrom ? "ångströms"
                                                    : "wavenumbers (1/cm)") +
                  " converted to nm",
              place(file_, table.line));
    return x;
  }

  const JcampBlock& block_;
  std::string_view file_;
  Wanted wanted_;
  RawFile& raw_;
};

}  // namespace

Result<RawFile> read_jcamp(std::string_view text, std::string_view file, Wanted wanted) {
  auto blocks = MENDTONE_TRY(parse_jcamp(text, file));
  RawFile raw;
  // The standard's TRANSMITTANCE and REFLECTANCE are fractions; not every program knows.
  for (const JcampBlock& block : blocks) MENDTONE_TRY(BlockReader(block, file, wanted, raw).read());
  return raw;
}

}  // namespace mendtone::formats
