#include <algorithm>
#include <cctype>

#include "app/record/record_lookup.hpp"
#include "app/record/record_shown.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/record.hpp"

namespace mendtone::app {
namespace {

using record::Cell;
using record::KeptRow;
using record::Kind;
using record::Store;

std::string name_in(const record::Row& row) {
  const auto place = record::find_kind(row.kind)->position("name");
  return place < row.cells.size() ? record::text_of(row.cells[place]) : std::string();
}

/// What a link leads to, as a person calls it.
std::string linked_name(const Store& store, const std::string& kind, record::Id id) {
  auto past = store.history(kind, id);
  const std::string number = "#" + std::to_string(id);
  if (!past || past->empty()) return number;
  const std::string name = name_in(past->back().value);
  return name.empty() ? number : name;
}

template <class T>
void show_all(const Store& store, const std::vector<record::Kept<T>>& things,
              std::vector<Shown>& to) {
  for (const auto& kept : things)
    to.push_back(shown(
        store, {kept.id, kept.row, kept.replaces, kept.withdrawn, kept.entry, to_row(kept.value)}));
}

void show_parts(const Store& store, const record::WholeSheet& whole, std::vector<Shown>& to) {
  show_all(store, std::vector{whole.sheet}, to);
  show_all(store, whole.photographs, to);
  show_all(store, whole.spots, to);
  show_all(store, whole.losses, to);
  show_all(store, whole.readings, to);
  show_all(store, whole.means, to);
  show_all(store, whole.baths, to);
  show_all(store, whole.spot_tests, to);
  show_all(store, whole.steps, to);
  show_all(store, whole.fills, to);
  show_all(store, whole.recipes, to);
  show_all(store, whole.trials, to);
  show_all(store, whole.trial_readings, to);
  show_all(store, whole.tissues, to);
  show_all(store, whole.offcuts, to);
  show_all(store, whole.computations, to);
  show_all(store, whole.notes, to);
}

std::string lower(std::string text) {
  for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return text;
}

bool holds_all(const KeptRow& row, const std::vector<std::string>& words) {
  std::string text;
  for (const Cell& cell : row.value.cells)
    if (std::holds_alternative<std::string>(cell))
      text += lower(std::get<std::string>(cell)) + '\n';
  return std::all_of(words.begin(), words.end(), [&](const std::string& word) {
    return text.find(lower(word)) != std::string::npos;
  });
}

}  // namespace

Shown shown(const Store& store, const KeptRow& row) {
  Shown one{row.value.kind, row.id, row.row, row.entry, row.withdrawn, {}, {}};
  const Kind& kind = *record::find_kind(row.value.kind);
  for (std::size_t i = 0; i < row.value.cells.size(); ++i) {
    const Cell& cell = row.value.cells[i];
    if (std::holds_alternative<std::monostate>(cell)) continue;
    const record::Column& column = kind.columns[i];
    one.columns.push_back({column.name, cell});
    if (const auto* id = std::get_if<std::int64_t>(&cell); id && !column.links_to.empty())
      one.links.push_back({column.name, linked_name(store, column.links_to, *id)});
  }
  return one;
}

Shown shown_unreadable(const Store& store, const record::Unreadable& one) {
  Shown thing = shown(store, one.row);
  thing.columns.push_back({"cannot_be_understood", Cell{one.error.text()}});
  return thing;
}

Result<ShowAnswer> record_show(const ShowRequest& request) {
  auto store = open_record(request.record, Opening::must_exist);
  if (!store) return store.error();
  ShowAnswer answer{request.record, request.sheet, {}, {}, {}, (*store)->reading_only(), {}};
  if (!request.sheet.empty()) {
    auto sheet = find_thing(**store, "sheet", request.sheet);
    if (!sheet) return sheet.error();
    std::vector<record::Unreadable> left_out;
    auto whole = record::whole_sheet(**store, *sheet, left_out);
    if (!whole) return whole.error();
    show_parts(**store, *whole, answer.things);
    answer.gate = record::gate_of(*whole);
    for (const record::Unreadable& one : left_out)
      answer.things.push_back(shown_unreadable(**store, one));
    return answer;
  }
  for (const Kind& kind : record::kinds()) {
    auto count = (*store)->count(kind.name);
    if (!count) return count.error();
    answer.counts.push_back({kind.name, *count});
  }
  auto head = (*store)->head();
  if (!head) return head.error();
  answer.head = record::text_of(*head);
  auto sheets = (*store)->current("sheet");
  if (!sheets) return sheets.error();
  for (const KeptRow& row : *sheets) answer.things.push_back(shown(**store, row));
  return answer;
}

Result<ShowAnswer> record_history(const HistoryRequest& request) {
  auto store = open_record(request.record, Opening::must_exist);
  if (!store) return store.error();
  if (!record::find_kind(request.kind))
    return bad_request("a record has no such kind of thing", request.kind);
  auto id = find_thing(**store, request.kind, request.thing);
  if (!id) return id.error();
  auto past = (*store)->history(request.kind, *id);
  if (!past) return past.error();
  ShowAnswer answer{request.record, "", {}, {}, {}, {}, {}};
  for (const KeptRow& row : *past) answer.things.push_back(shown(**store, row));
  return answer;
}

Result<ShowAnswer> record_find(const FindRequest& request) {
  auto store = open_record(request.record, Opening::must_exist);
  if (!store) return store.error();
  ShowAnswer answer{request.record, "", {}, {}, {}, {}, {}};
  for (const Kind& kind : record::kinds()) {
    auto rows = (*store)->current(kind.name);
    if (!rows) return rows.error();
    for (const KeptRow& row : *rows)
      if (holds_all(row, request.words)) answer.things.push_back(shown(**store, row));
  }
  return answer;
}

Result<NewAnswer> record_new(const NewRequest& request) {
  if (auto made = new_record(request.record); !made) return made.error();
  return NewAnswer{request.record, place_note(request.record)};
}

Result<BackupAnswer> record_backup(const BackupRequest& request) {
  auto head = back_up_record(request.record, request.file);
  if (!head) return head.error();
  auto hash = sha256_of_file(request.file);
  if (!hash) return hash.error();
  return BackupAnswer{request.record, request.file, *hash, record::text_of(*head)};
}

}  // namespace mendtone::app
