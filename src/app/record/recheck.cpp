#include "mendtone/app/record/recheck.hpp"

#include <cmath>
#include <map>

#include "app/inputs/json.hpp"
#include "app/inputs/tables.hpp"
#include "app/record/kept_readings.hpp"
#include "app/record/record_lookup.hpp"
#include "mendtone/adapters/record_seals.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/keep.hpp"
#include "mendtone/app/record/means.hpp"
#include "mendtone/app/verb.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/words.hpp"
#include "mendtone/formats/read.hpp"
#include "mendtone/record/unreadable.hpp"

namespace mendtone::app {
namespace {

using record::Cell;
using record::KeptReading;
using record::Store;

/// What one result may fill the list with: the first figures tell the story.
constexpr std::size_t most_shown = 10;

/// Without those that cannot be understood: `recheck_rows` names them.
template <class T>
Result<std::vector<record::Kept<T>>> readable(const Store& store) {
  std::vector<record::Unreadable> named_already;
  return record::current<T>(store, {}, named_already);
}

/// Every row of every reading that can be understood.
Result<std::vector<record::Kept<KeptReading>>> every_readable_row(const Store& store) {
  auto rows = store.all(KeptReading::kind);
  if (!rows) return rows.error();
  std::vector<record::Kept<KeptReading>> all;
  for (const record::KeptRow& row : *rows)
    if (auto one = record::typed<KeptReading>(row)) all.push_back(*std::move(one));
  return all;
}

/// Every row that stands is read back.
Result<void> recheck_rows(const Store& store, const StillGoing& going, RecheckAnswer& answer) {
  for (const record::Kind& kind : record::kinds()) {
    if (auto on = going(); !on) return on;
    auto rows = store.current(kind.name);
    if (!rows) return rows.error();
    for (const record::KeptRow& row : *rows)
      if (auto read = record::read_back(row.value); !read)
        answer.disagreements.push_back(
            {kind.name + " #" + std::to_string(row.id) + ", row " + std::to_string(row.row),
             read.error().where, "a " + kind.name, read.error().message});
  }
  return {};
}

Result<Inputs> inputs_of(const Store& store, const record::Computation& kept) {
  Inputs inputs;
  const auto list = json_from(kept.inputs.empty() ? "[]" : kept.inputs, "inputs");
  if (!list) return list.error();
  if (!list->is_array()) return bad_input("expected a JSON list of inputs", "inputs");
  for (const Json& one : *list) {
    const auto name = json_text(json_member(one, "name")),
               hash = json_text(json_member(one, "sha256"));
    if (!name || !hash) return bad_input("expected {name, sha256} of each input", "inputs");
    auto bytes = store.bytes(*hash);
    if (!bytes) return bytes.error();
    inputs[*name] = *std::move(bytes);
  }
  return inputs;
}

/// One figure that is not as it was: by the same method a disagreement, by a newer one its doing.
class Finding {
 public:
  Finding(std::string what, int kept_method, const results::Type& type, RecheckAnswer& answer)
      : what_(std::move(what)), answer_(answer) {
    for (std::size_t i = 0; i < type.method_changes.size(); ++i)
      if (static_cast<int>(i) + 1 >= kept_method) changes_.emplace_back(type.method_changes[i]);
  }

  void add(const std::string& where, const std::string& kept, const std::string& now) {
    if (++found_ > most_shown) return;
    const bool last = found_ == most_shown;
    if (changes_.empty())
      answer_.disagreements.push_back({what_, last ? "" : where, last ? "" : kept,
                                       last ? "and more" : now});
    else
      answer_.method_changed.push_back({what_, last ? "and more" : where, last ? "" : kept,
                                        last ? "" : now, joined(changes_)});
  }

 private:
  std::string what_;
  RecheckAnswer& answer_;
  std::vector<std::string> changes_;
  std::size_t found_ = 0;
};

/// A result of a verb that is described: as values, whatever version wrote it.
void compare_values(const Verb& verb, const std::string& what, const record::Computation& kept,
                    const Result<Computed>& again, RecheckAnswer& answer) {
  const auto head = results::head_of(kept.result, "result");
  Finding finding(what, head ? head->method : 1, *verb.answer, answer);
  if (!again) return finding.add("", "a result", again.error().text());
  const results::Value before = results::fresh(*verb.answer), now = results::fresh(*verb.answer);
  for (const auto& [text, value] : {std::pair(&kept.result, &before), {&again->result, &now}})
    if (auto read = results::from_json(*verb.answer, *text, "result",
                                       results::Reading::document, value->data.get());
        !read) {
      answer.disagreements.push_back({what, read.error().where, "a result", read.error().message});
      return;
    }
  const auto compared =
      results::compare(*verb.answer, before.data.get(), now.data.get(), head->version);
  answer.figures += compared.figures;
  for (const results::Unlike& one : compared.unlike) finding.add(one.pointer, one.kept, one.now);
}

void recheck_one(const Store& store, const record::Kept<record::Computation>& kept,
                 RecheckAnswer& answer) {
  const std::string what = "computation #" + std::to_string(kept.id) + " (" + kept.value.verb +
                           (kept.value.name.empty() ? "" : ", '" + kept.value.name + "'") + ")";
  ++answer.results;
  auto inputs = inputs_of(store, kept.value);
  InputPlace place;
  if (inputs) place.only = std::make_shared<const Inputs>(*inputs);
  const auto again = inputs ? compute(kept.value.verb, kept.value.parameters, place)
                            : Result<Computed>(inputs.error());
  if (const Verb* verb = find_verb(kept.value.verb))
    compare_values(*verb, what, kept.value, again, answer);
  else
    answer.disagreements.push_back({what, "", "a result", again.error().text()});
  if (!inputs) return;
  for (const auto& [name, bytes] : *inputs)
    if (auto today = kept_under(store, name);
        is_kept_json(bytes) && today && *today && **today != bytes)
      answer.notes.push_back(what + " was computed from '" + name +
                             "' as it was; the record holds other readings under that name today");
  if (!kept.value.tables.empty() && kept.value.tables != reference_table_hashes())
    answer.notes.push_back(what + " was computed with other reference tables than this program's");
}

Result<void> recheck_results(const Store& store, const Going& going, RecheckAnswer& answer) {
  auto all = readable<record::Computation>(store);
  if (!all) return all.error();
  for (std::size_t i = 0; i < all->size(); ++i) {
    const double done = static_cast<double>(i) / static_cast<double>(all->size());
    if (auto on = going ? going(done) : Result<void>(); !on) return on;
    recheck_one(store, (*all)[i], answer);
  }
  return {};
}

/// Cells of the reading itself, without what was said of it on the way in.
std::vector<Cell> reading_cells(const Reading& reading) {
  KeptReading bare;
  bare.reading = reading;
  return to_row(bare).cells;
}

/// Where the bands lay that were stated for a file that does not say them: those of its readings.
std::optional<StatedBands> bands_of_first(
    const std::vector<const record::Kept<KeptReading>*>& readings) {
  if (readings.empty() || !readings.front()->value.reading.spectrum) return std::nullopt;
  const WavelengthGrid& grid = readings.front()->value.reading.spectrum->grid;
  const auto step = grid.step();
  if (!step) return std::nullopt;
  return StatedBands{grid.first(), grid.last(), *step};
}

/// A column that came with layout 3 is empty in what was kept before, whatever the file says.
bool younger_than(const record::Column& column, const Cell& kept) {
  return std::holds_alternative<std::monostate>(kept) &&
         (column.name == "series" || column.name == "bleeds");
}

Result<void> recheck_file(const Store& store, const record::Kept<record::ImportedFile>& file,
                          const std::vector<const record::Kept<KeptReading>*>& readings,
                          RecheckAnswer& answer) {
  ++answer.kept_files;
  const std::string what = "file #" + std::to_string(file.id) + " '" + file.value.name + "'";
  auto bytes = store.bytes(file.value.sha256);
  if (!bytes) return bytes.error();
  ReadOptions options;
  if (file.value.scale == "fraction") options.scale = Scale::fraction;
  if (file.value.scale == "percent") options.scale = Scale::percent;
  const std::string path =
      readings.empty() ? file.value.name : readings.front()->value.reading.source.file;
  options.wavelengths = bands_of_first(readings);
  auto again = readings_in(*bytes, path, options);
  if (!again) {
    answer.disagreements.push_back({what, "", "readings", again.error().text()});
    return {};
  }
  if (again->readings.size() != readings.size())
    answer.disagreements.push_back({what, "readings", std::to_string(readings.size()),
                                    std::to_string(again->readings.size())});
  const auto& columns = record::find_kind("reading")->columns;
  for (std::size_t i = 0; i < std::min(readings.size(), again->readings.size()); ++i) {
    ++answer.readings;
    const auto before = reading_cells(readings[i]->value.reading);
    const auto now = reading_cells(again->readings[i]);
    for (std::size_t c = 0; c < before.size(); ++c)
      if (before[c] != now[c] && !younger_than(columns[c], before[c]))
        answer.disagreements.push_back(
            {"reading #" + std::to_string(readings[i]->id) + " of " + what, columns[c].name,
             record::text_of(before[c]), record::text_of(now[c])});
  }
  return {};
}

/// The raw readings as they were first kept, against their files.
Result<void> recheck_files(const Store& store, const StillGoing& going, RecheckAnswer& answer) {
  auto files = readable<record::ImportedFile>(store);
  if (!files) return files.error();
  auto readings = every_readable_row(store);
  if (!readings) return readings.error();
  std::map<record::Id, std::vector<const record::Kept<KeptReading>*>> by_file;
  for (const auto& kept : *readings)
    if (!kept.replaces && kept.value.file) by_file[*kept.value.file].push_back(&kept);
  for (const auto& file : *files) {
    if (auto on = going(); !on) return on;
    if (auto checked = recheck_file(store, file, by_file[file.id], answer); !checked)
      return checked;
  }
  return {};
}

Result<void> recheck_mean(const Store& store, const record::Kept<record::Mean>& mean,
                          RecheckAnswer& answer) {
  ++answer.means;
  std::vector<record::Kept<KeptReading>> raw;
  const std::string what =
      "mean #" + std::to_string(mean.id) + " '" + mean.value.reading.name + "'";
  for (record::Id id : mean.value.of) {
    auto one = record::get<KeptReading>(store, id);
    if (one)
      raw.push_back(*std::move(one));
    else
      answer.disagreements.push_back(
          {what, "of", "reading #" + std::to_string(id), one.error().message});
  }
  const auto now = means_of(raw);
  if (now.size() != 1) {
    answer.disagreements.push_back({what, "of", std::to_string(mean.value.of.size()) + " repeats",
                                    "they no longer are repeats of one another"});
    return {};
  }
  const auto before = reading_cells(mean.value.reading);
  auto after = reading_cells(now[0].reading);
  if (before != after) {
    const auto all = means_of(raw, Averaged::all);
    if (all.size() == 1 && reading_cells(all[0].reading) == before) {
      answer.notes.push_back(what + " was kept with a repeat in it that stands apart; answers " +
                             "leave it out today");
      after = before;
    }
  }
  const auto& columns = record::find_kind("reading")->columns;
  for (std::size_t c = 0; c < before.size(); ++c) {
    ++answer.figures;
    if (before[c] != after[c])
      answer.disagreements.push_back(
          {what, columns[c].name, record::text_of(before[c]), record::text_of(after[c])});
  }
  return {};
}

Result<void> recheck_means(const Store& store, const StillGoing& going, RecheckAnswer& answer) {
  auto means = readable<record::Mean>(store);
  if (!means) return means.error();
  for (const auto& mean : *means) {
    if (auto on = going(); !on) return on;
    if (auto checked = recheck_mean(store, mean, answer); !checked) return checked;
  }
  return {};
}

Result<void> recheck_photographs(const Store& store, const StillGoing& going,
                                 RecheckAnswer& answer) {
  auto photographs = readable<record::Photograph>(store);
  if (!photographs) return photographs.error();
  for (const auto& kept : *photographs) {
    ++answer.photographs;
    const std::string what =
        "photograph #" + std::to_string(kept.id) + " '" + kept.value.name + "'";
    if (auto on = going(); !on) return on;
    auto hash = sha256_of_file(kept.value.path, going);
    // Ended, or not to be read: the first is no fault of the photograph.
    if (auto on = going(); !on) return on;
    if (!hash)
      answer.disagreements.push_back({what, "path", kept.value.path, hash.error().message});
    else if (*hash != kept.value.sha256)
      answer.disagreements.push_back({what, "sha256", kept.value.sha256, *hash});
  }
  return {};
}

void tell_seals(const SealReport& seals, RecheckAnswer& answer) {
  answer.head = text_of(seals.head);
  answer.entries = seals.entries;
  answer.as_found = seals.as_found;
  answer.broken_seals = seals.breaks;
  for (const std::string& fault : seals.breaks)
    answer.disagreements.push_back({"seals", "", "", fault});
  for (const SealReport::Known& known : seals.known) {
    const bool fits = known.verdict == SealReport::Known::Verdict::fits;
    answer.heads.push_back({text_of(known.head), fits, fits ? std::string() : known.words});
    if (!fits) answer.disagreements.push_back({"head", "", text_of(known.head), known.words});
  }
}

}  // namespace

Result<RecheckAnswer> recheck(const RecheckRequest& request) {
  std::vector<record::Head> heads;
  for (const std::string& text : request.heads) {
    auto head = record::head_from(text);
    if (!head) return head.error();
    heads.push_back(*std::move(head));
  }
  const StillGoing going = [&]() -> Result<void> {
    return request.going ? request.going(0) : Result<void>();
  };
  auto faults = check_record_file(request.record, going);
  if (!faults) return faults.error();
  auto seals = check_seals(request.record, heads);
  if (!seals) return seals.error();
  auto store = open_record(request.record, Opening::must_exist);
  if (!store) return store.error();
  RecheckAnswer answer;
  answer.record = request.record;
  answer.file_faults = *std::move(faults);
  tell_seals(*seals, answer);
  for (const std::string& fault : answer.file_faults)
    answer.disagreements.push_back({"file", "", "", fault});
  auto done = (*store)->reading_together([&]() -> Result<void> {
    for (auto* part : {recheck_rows, recheck_files, recheck_means, recheck_photographs})
      if (auto checked = part(**store, going, answer); !checked) return checked;
    return recheck_results(**store, request.going, answer);
  });
  if (!done) return done.error();
  answer.agrees = answer.disagreements.empty();
  return answer;
}

}  // namespace mendtone::app
