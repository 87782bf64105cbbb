#include <cmath>
#include <limits>

#include "formats/text.hpp"
#include "mendtone/record/unreadable.hpp"
#include "mendtone/spectral/limits.hpp"
#include "record/cells.hpp"
#include "record/fields.hpp"

namespace mendtone::record {
namespace {

std::vector<std::string> words(std::string_view parted) {
  std::vector<std::string> list;
  while (!parted.empty()) {
    const auto bar = parted.find('|');
    list.emplace_back(parted.substr(0, bar));
    parted = bar == std::string_view::npos ? std::string_view{} : parted.substr(bar + 1);
  }
  return list;
}

/// Collects what the columns are.
struct Describe {
  std::vector<Column> columns;

  void put(std::string_view name, CellType type, const Says& says,
           CellForm form = CellForm::plain) {
    columns.push_back({std::string(name), type, std::string(says.help), std::string(says.links_to),
                       words(says.one_of), says.required, form, says.limits});
  }
  void operator()(std::string_view n, const std::string&, const Says& s) {
    put(n, CellType::text, s);
  }
  void operator()(std::string_view n, const std::optional<double>&, const Says& s) {
    put(n, CellType::number, s);
  }
  void operator()(std::string_view n, const std::optional<std::int64_t>&, const Says& s) {
    put(n, CellType::whole, s);
  }
  void operator()(std::string_view n, const Id&, const Says& s) { put(n, CellType::whole, s); }
  void operator()(std::string_view n, const std::map<std::string, double>&, const Says& s) {
    put(n, CellType::text, s, CellForm::loads);
  }
  void operator()(std::string_view n, const Outline&, const Says& s) {
    put(n, CellType::text, s, CellForm::outline);
  }
  void operator()(std::string_view n, const std::vector<Id>&, const Says& s) {
    put(n, CellType::text, s, CellForm::list);
  }
  template <class E, class From>
  void word(std::string_view n, E, From, std::string_view help) {
    put(n, CellType::text, Says{help});
  }
  void count(std::string_view n, const std::optional<int>&, std::string_view help) {
    put(n, CellType::whole, Says{help});
  }
  void yes_no(std::string_view n, const std::optional<bool>&, std::string_view help) {
    put(n, CellType::text, Says{help, {}, "yes|no"});
  }
  void position(std::string_view n, std::size_t) {
    put(n, CellType::whole, Says{"where it stood in that file"});
  }
  void spectrum(std::string_view nm, std::string_view values, const std::optional<Spectrum>&,
                std::string_view help) {
    put(nm, CellType::text, Says{"wavelengths in nm: first:step:last, or a list"});
    put(values, CellType::text, Says{help}, CellForm::list);
  }
  void bound_lab(const std::optional<BoundLab>&) {
    put("lab_l", CellType::number,
        within({lowest_L, highest_L}, Says{"L* as the instrument gave it"}));
    put("lab_a", CellType::number, within({-highest_ab, highest_ab}, Says{"a*"}));
    put("lab_b", CellType::number, within({-highest_ab, highest_ab}, Says{"b*"}));
    put("lab_light", CellType::text, Says{"the light of that L*a*b*"});
    put("lab_observer_deg", CellType::whole, Says{"the observer of that L*a*b*, degrees"});
  }
};

struct Encode {
  std::vector<Cell> cells;

  void text(std::string_view value) {
    if (value.empty())
      cells.emplace_back();
    else
      cells.emplace_back(std::string(value));
  }
  template <class T>
  void maybe(const std::optional<T>& value) {
    if (value)
      cells.emplace_back(*value);
    else
      cells.emplace_back();
  }
  void operator()(std::string_view, const std::string& v, const Says&) { text(v); }
  void operator()(std::string_view, const std::optional<double>& v, const Says&) { maybe(v); }
  void operator()(std::string_view, const std::optional<std::int64_t>& v, const Says&) { maybe(v); }
  void operator()(std::string_view, const Id& v, const Says&) {
    maybe(v == 0 ? std::optional<Id>() : std::optional<Id>(v));
  }
  void operator()(std::string_view, const std::map<std::string, double>& v, const Says&) {
    text(v.empty() ? "" : loads_to_text(v));
  }
  void operator()(std::string_view, const Outline& v, const Says&) {
    text(v.empty() ? "" : outline_to_text(v));
  }
  void operator()(std::string_view, const std::vector<Id>& v, const Says&) {
    text(v.empty() ? "" : ids_to_text(v));
  }
  template <class E, class From>
  void word(std::string_view, E value, From, std::string_view) {
    text(name_of(value));
  }
  void count(std::string_view, const std::optional<int>& v, std::string_view) {
    maybe(v ? std::optional<std::int64_t>(*v) : std::nullopt);
  }
  void yes_no(std::string_view, const std::optional<bool>& v, std::string_view) {
    text(!v ? "" : *v ? "yes" : "no");
  }
  void position(std::string_view, std::size_t v) {
    maybe(v == 0 ? std::optional<std::int64_t>() : static_cast<std::int64_t>(v));
  }
  void spectrum(std::string_view, std::string_view, const std::optional<Spectrum>& v,
                std::string_view) {
    text(v ? grid_to_text(v->grid) : "");
    text(v ? numbers_to_text(v->value) : "");
  }
  void bound_lab(const std::optional<BoundLab>& v) {
    maybe(v ? std::optional(v->L) : std::nullopt);
    maybe(v ? std::optional(v->a) : std::nullopt);
    maybe(v ? std::optional(v->b) : std::nullopt);
    text(v ? v->light : "");
    maybe(v ? std::optional<std::int64_t>(v->observer_deg) : std::nullopt);
  }
};

/// Takes the cells one by one; the first that cannot be understood is named.
struct Decode {
  const Row& row;
  std::size_t next = 0;
  std::string fault;  ///< the column
  std::string why;    ///< what was expected there, and found

  const Cell& take() {
    static const Cell nothing;
    return next < row.cells.size() ? row.cells[next++] : nothing;
  }
  void wrong(std::string_view column, std::string_view expected = "another value") {
    if (!fault.empty()) return;
    fault = column;
    const std::size_t place = find_kind(row.kind)->position(column);
    const std::string found = place < row.cells.size() ? text_of(row.cells[place]) : "nothing";
    why = "expected " + std::string(expected) + ", found " + formats::quoted(found);
  }
  std::string_view text(std::string_view column) {
    const Cell& cell = take();
    if (const auto* value = std::get_if<std::string>(&cell)) return *value;
    if (!std::holds_alternative<std::monostate>(cell)) wrong(column, "a text");
    return {};
  }
  std::optional<double> number(std::string_view column) {
    const Cell& cell = take();
    if (const auto* value = std::get_if<std::int64_t>(&cell)) return static_cast<double>(*value);
    const auto* value = std::get_if<double>(&cell);
    if (value && std::isfinite(*value)) return *value;
    if (!std::holds_alternative<std::monostate>(cell)) wrong(column, "a finite number");
    return std::nullopt;
  }
  std::optional<std::int64_t> whole(std::string_view column) {
    const Cell& cell = take();
    if (const auto* value = std::get_if<std::int64_t>(&cell)) return *value;
    if (!std::holds_alternative<std::monostate>(cell)) wrong(column, "a whole number");
    return std::nullopt;
  }
  template <class T, class From>
  void through(std::string_view column, T& value, From from, std::string_view expected) {
    const std::string_view cell = text(column);
    if (cell.empty()) return;
    auto read = from(cell);
    if (read)
      value = *std::move(read);
    else
      wrong(column, expected);
  }

  void operator()(std::string_view n, std::string& v, const Says&) { v = text(n); }
  void operator()(std::string_view n, std::optional<double>& v, const Says&) { v = number(n); }
  void operator()(std::string_view n, std::optional<std::int64_t>& v, const Says&) { v = whole(n); }
  void operator()(std::string_view n, Id& v, const Says&) { v = whole(n).value_or(0); }
  void operator()(std::string_view n, std::map<std::string, double>& v, const Says&) {
    through(n, v, loads_from_text, "{colorant: number}");
  }
  void operator()(std::string_view n, Outline& v, const Says&) {
    through(n, v, outline_from_text, "polygons [[[x, y], …], …]");
  }
  void operator()(std::string_view n, std::vector<Id>& v, const Says&) {
    through(n, v, ids_from_text, "a list of numbers of things");
  }
  template <class E, class From>
  void word(std::string_view n, E& value, From from, std::string_view help) {
    through(n, value, from, help);
  }
  void count(std::string_view n, std::optional<int>& v, std::string_view) {
    const auto number = whole(n);
    if (!number) return;
    if (*number < 0 || *number > std::numeric_limits<int>::max())
      return wrong(n, "a count of 0 or more");
    v = static_cast<int>(*number);
  }
  void yes_no(std::string_view n, std::optional<bool>& v, std::string_view) {
    through(n, v, yes_no_from, "yes or no");
  }
  void position(std::string_view n, std::size_t& v) {
    const auto number = whole(n).value_or(0);
    if (number < 0) return wrong(n, "a place of 1 or more");
    v = static_cast<std::size_t>(number);
  }
  void spectrum(std::string_view nm, std::string_view values, std::optional<Spectrum>& v,
                std::string_view) {
    Spectrum read;
    through(nm, read.grid, grid_from_text, "wavelengths as first:step:last, or a rising list");
    through(values, read.value, numbers_from_text, "a list of numbers");
    if (read.grid.size() != read.value.size())
      wrong(values, std::to_string(read.grid.size()) + " numbers, one a wavelength");
    if (!read.value.empty()) v = std::move(read);
  }
  void bound_lab(std::optional<BoundLab>& v) {
    const auto L = number("lab_l"), a = number("lab_a"), b = number("lab_b");
    const std::string light(text("lab_light"));
    const auto observer = whole("lab_observer_deg");
    if (!L && !a && !b) return;
    if (!L || !a || !b || light.empty() || !observer)
      return wrong("lab_l", "L*, a*, b*, their light and observer together");
    if (*observer != 2 && *observer != 10) return wrong("lab_observer_deg", "2 or 10");
    v = BoundLab{*L, *a, *b, light, static_cast<int>(*observer)};
  }
};

template <class T>
Kind described(std::string_view help, std::string_view unique_within) {
  Describe describe;
  const T empty{};
  fields(describe, empty);
  return {std::string(T::kind), std::string(help), std::string(unique_within),
          std::move(describe.columns)};
}

std::vector<Kind> describe_all() {
  return {described<Sheet>("an object: one sheet", ""),
          described<Photograph>("a photograph, which stays where it is", "sheet"),
          described<Spot>("a place that is read again and again", "sheet"),
          described<Loss>("a loss or a tear", "sheet"),
          described<Instrument>("an instrument", ""),
          described<Lamp>("a lamp of this house", ""),
          described<Colorant>("a colorant", ""),
          described<Dropper>("a dropper", ""),
          described<Stock>("a stock solution", ""),
          described<ImportedFile>("a readings file as it came", "-"),
          described<Computation>("a computed result", "-"),
          described<Recipe>("a recipe that was decided on", ""),
          described<Tissue>("a tissue in the drawer", ""),
          described<PickUp>("how much liquid a tissue takes up", "-"),
          described<Trial>("a swatch made to try a recipe", "recipe"),
          described<Offcut>("an offcut that was pasted, dried and pressed", ""),
          described<Fill>("a fill chosen, refused or considered", "loss"),
          described<Bath>("a wash bath", "sheet"),
          described<SpotTest>("the result of a spot test", "-"),
          described<Step>("a step that is owed, barred or settled, and why", "-"),
          described<KeptReading>("one press of the instrument's button", "-"),
          described<Mean>("the mean of repeated readings", "-"),
          described<Note>("a note", "-")};
}

}  // namespace

std::span<const Kind> kinds() {
  static const std::vector<Kind> all = describe_all();
  return all;
}

/// Every kind of values.hpp.
// clang-format off
#define MENDTONE_EVERY_KIND(DO) \
  DO(Sheet) DO(Photograph) DO(Spot) DO(Loss) DO(Instrument) DO(Lamp) DO(Tissue) \
  DO(Colorant) DO(Dropper) DO(Stock) DO(ImportedFile) DO(KeptReading) DO(Mean) \
  DO(Computation) DO(Recipe) DO(Trial) DO(Fill) DO(Bath) DO(PickUp) DO(SpotTest) \
  DO(Step) DO(Offcut) DO(Note)
// clang-format on

template <class T>
Row to_row(const T& value) {
  Encode encode;
  fields(encode, value);
  return {std::string(T::kind), std::move(encode.cells)};
}

template <class T>
Result<void> from_row(const Row& row, T& value) {
  value = T{};
  Decode decode{row, 0, {}, {}};
  fields(decode, value);
  if (decode.fault.empty() && row.kind == T::kind && decode.next == row.cells.size()) return {};
  return bad_input(decode.fault.empty() ? "expected a " + row.kind + ", found a " + row.kind +
                                              " of " + std::to_string(row.cells.size()) + " cells"
                                        : decode.why,
                   decode.fault.empty() ? row.kind : row.kind + "." + decode.fault);
}

template <class T>
Result<void> read_back_as(const Row& row) {
  T value;
  return from_row(row, value);
}

Result<void> read_back(const Row& row) {
  static const std::map<std::string, Result<void> (*)(const Row&), std::less<>> readers{
#define MENDTONE_READER(T) {std::string(T::kind), read_back_as<T>},
      MENDTONE_EVERY_KIND(MENDTONE_READER)
#undef MENDTONE_READER
  };
  const auto reader = readers.find(row.kind);
  if (reader == readers.end()) return bad_input("a record has no such kind of thing", row.kind);
  return reader->second(row);
}

#define MENDTONE_KIND(T)         \
  template Row to_row(const T&); \
  template Result<void> from_row(const Row&, T&);
MENDTONE_EVERY_KIND(MENDTONE_KIND)
#undef MENDTONE_KIND

}  // namespace mendtone::record
