#include <algorithm>

#include "app/inputs/json.hpp"
#include "app/record/record_shown.hpp"
#include "app/report/report_parts.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

using record::Kept;
using report::Entered;
using report::Fact;

/// {"ochre":0.4} as it is typed: ochre=0.4.
std::string loads_in_words(const std::string& json) {
  const auto loads = json_from(json, "loads");
  if (!loads || !loads->is_object()) return json;
  std::string text;
  for (const auto& [name, load] : loads->items())
    text += (text.empty() ? "" : ", ") + name + "=" +
            (load.is_number() ? shortest(load.get<double>()) : load.dump());
  return text;
}

/// [[[1,2],[3,4]]] as it is typed: 1,2 3,4.
std::string outline_in_words(const std::string& json) {
  const auto polygons = json_from(json, "outline");
  if (!polygons || !polygons->is_array()) return json;
  std::string text;
  for (const Json& polygon : *polygons) {
    text += text.empty() ? "" : "; ";
    for (std::size_t i = 0; i < polygon.size(); ++i)
      text += (i == 0 ? "" : " ") + shortest(polygon[i][0].get<double>()) + "," +
              shortest(polygon[i][1].get<double>());
  }
  return text;
}

std::string as_typed(const Shown& shown, const std::string& column, const record::Cell& cell) {
  for (const auto& [name, linked] : shown.links)
    if (name == column) return linked;
  const record::Kind& kind = *record::find_kind(shown.kind);
  const record::CellForm form = kind.columns[kind.position(column)].form;
  const std::string text = record::text_of(cell);
  if (form == record::CellForm::loads) return loads_in_words(text);
  if (form == record::CellForm::outline) return outline_in_words(text);
  return text;
}

std::string name_of(const Shown& shown) {
  for (const auto& [column, cell] : shown.columns)
    if (column == "name") return record::text_of(cell);
  return shown.kind + " #" + std::to_string(shown.id);
}

Shown shown_of(const record::Store& store, const record::KeptRow& row) {
  return shown(store, row);
}

template <class T>
Shown shown_as(const record::Store& store, const Kept<T>& kept) {
  return shown_of(store, {kept.id, kept.row, kept.replaces, kept.withdrawn, kept.entry,
                          record::to_row(kept.value)});
}

template <class T>
void add_all(report::ReportContent& content, const record::Store& store,
             const std::vector<Kept<T>>& things) {
  for (const Kept<T>& kept : things) {
    Entered one{std::string(T::kind), name_of(shown_as(store, kept)),
                facts_of(store, kept, {"name", "sheet"})};
    const record::Entry& entry = kept.entry;
    one.facts.push_back({"entered_by", entry.who + ", " + entry.when});
    if (!entry.why.empty()) one.facts.push_back({"corrected_why", entry.why});
    content.entered.push_back(std::move(one));
  }
}

}  // namespace

template <class T>
std::vector<Fact> facts_of(const record::Store& store, const Kept<T>& kept,
                           const std::vector<std::string_view>& without) {
  const Shown shown = shown_as(store, kept);
  std::vector<Fact> facts;
  for (const auto& [column, cell] : shown.columns)
    if (std::find(without.begin(), without.end(), column) == without.end())
      facts.push_back({column, as_typed(shown, column, cell)});
  return facts;
}

template std::vector<Fact> facts_of(const record::Store&, const Kept<record::Fill>&,
                                    const std::vector<std::string_view>&);

void add_entered(report::ReportContent& content, const record::Store& store,
                 const record::WholeSheet& whole) {
  add_all(content, store, std::vector{whole.sheet});
  add_all(content, store, whole.photographs);
  add_all(content, store, whole.spots);
  add_all(content, store, whole.losses);
  add_all(content, store, whole.spot_tests);
  add_all(content, store, whole.baths);
  add_all(content, store, whole.steps);
  add_all(content, store, whole.tissues);
  add_all(content, store, whole.recipes);
  add_all(content, store, whole.trials);
  add_all(content, store, whole.offcuts);
  add_all(content, store, whole.fills);
  add_all(content, store, whole.notes);
}

}  // namespace mendtone::app
