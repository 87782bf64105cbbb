#include <filesystem>
#include <map>

#include "app/inputs/folders.hpp"
#include "app/inputs/tables.hpp"
#include "app/inputs/text.hpp"
#include "app/record/record_entries.hpp"
#include "app/record/record_lookup.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/means.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/base/words.hpp"

namespace mendtone::app {
namespace {

using record::Cell;
using record::Id;
using record::KeptReading;
using record::Link;
using record::Store;

/// What the person said that the readings belong to, found once.
Result<KeptReading> belongings(const Store& store, const ImportRequest& request) {
  KeptReading all;
  struct Asked {
    const char* kind;
    const std::string& name;
    Link& link;
  };
  for (const Asked& asked :
       {Asked{"sheet", request.sheet, all.sheet}, Asked{"spot", request.spot, all.spot},
        Asked{"loss", request.loss, all.loss}, Asked{"tissue", request.tissue, all.tissue},
        Asked{"trial", request.trial, all.trial}, Asked{"bath", request.bath, all.bath},
        Asked{"instrument", request.instrument, all.instrument}}) {
    if (asked.name.empty()) continue;
    auto id = find_thing(store, asked.kind, asked.name, all.sheet);
    if (!id) return id.error();
    asked.link = *id;
  }
  if (all.spot && !all.sheet) {
    auto spot = record::get<record::Spot>(store, *all.spot);
    if (!spot) return spot.error();
    all.sheet = spot->value.sheet;
  }
  if (all.loss && !all.sheet) {
    auto loss = record::get<record::Loss>(store, *all.loss);
    if (!loss) return loss.error();
    all.sheet = loss->value.sheet;
  }
  all.stage = request.stage;
  all.operator_name = request.read_by;
  all.taken = request.taken;
  return all;
}

/// Names that link by themselves: spots and losses of the sheet, and tissues.
struct OwnNames {
  std::map<std::string, Id> spots, losses, tissues;
};

Result<OwnNames> own_names(const Store& store, const KeptReading& all) {
  OwnNames names;
  if (all.sheet && !all.spot) {
    auto spots = record::current<record::Spot>(store, {{{"sheet", Cell{*all.sheet}}}, false});
    if (!spots) return spots.error();
    for (const auto& spot : *spots) names.spots[spot.value.name] = spot.id;
  }
  if (all.sheet && !all.spot && !all.loss) {
    auto losses = record::current<record::Loss>(store, {{{"sheet", Cell{*all.sheet}}}, false});
    if (!losses) return losses.error();
    for (const auto& loss : *losses) names.losses[loss.value.name] = loss.id;
  }
  if (!all.tissue) {
    auto tissues = record::current<record::Tissue>(store);
    if (!tissues) return tissues.error();
    for (const auto& tissue : *tissues) names.tissues[tissue.value.name] = tissue.id;
  }
  return names;
}

void link_by_name(KeptReading& kept, const OwnNames& names, std::vector<std::string>& linked) {
  const std::string& name = kept.reading.name;
  const auto say = [&](const std::string& what) {
    const std::string line = name + ": " + what;
    if (linked.empty() || linked.back() != line) linked.push_back(line);
  };
  const bool of_sheet = kept.reading.role == Role::target || kept.reading.role == Role::unstated;
  const auto spot = names.spots.find(name);
  if (of_sheet && spot != names.spots.end()) {
    kept.spot = spot->second;
    return say("the spot of that name");
  }
  const auto loss = names.losses.find(name);
  if (of_sheet && loss != names.losses.end()) {
    kept.loss = loss->second;
    return say("the loss of that name");
  }
  const auto tissue = names.tissues.find(name);
  if (kept.reading.role == Role::tissue && tissue != names.tissues.end()) {
    kept.tissue = tissue->second;
    say("the tissue of that name");
  }
}

/// Backings and tissues that stand in a sheet's file are nobody's readings of that sheet.
void keep_off_the_sheet(KeptReading& kept) {
  const Role role = kept.reading.role;
  if (role == Role::target || role == Role::unstated) return;
  kept.sheet.reset();
  kept.spot.reset();
  kept.loss.reset();
}

/// A tissue for every name of role tissue that the record does not know yet.
Result<void> enter_tissues(Store& store, const ReadFile& file, const record::Entry& entry,
                           OwnNames& names, ImportedOne& one) {
  for (const Reading& reading : file.readings) {
    if (reading.role != Role::tissue || names.tissues.count(reading.name)) continue;
    record::Tissue tissue;
    tissue.name = reading.name;
    tissue.lot = reading.lot;
    tissue.grammage_g_m2 = reading.grammage_g_m2;
    auto id = record::add(store, tissue, entry);
    if (!id) return id.error();
    names.tissues[reading.name] = *id;
    one.tissues.push_back(reading.name);
  }
  return {};
}

/// How often each name stands in a file.
std::map<std::string, std::size_t> times_named(const ReadFile& file) {
  std::map<std::string, std::size_t> times;
  for (const Reading& reading : file.readings) ++times[reading.name];
  return times;
}

/// What was said of rows, entered behind the rows as the file has them.
Result<void> enter_said(Store& store, const std::vector<Id>& ids, const ImportRequest& request) {
  record::Entry entry = request.entry;
  for (const SaidOfRows& said : request.said) {
    entry.why = said.left_out.empty() ? "said as the readings were kept" : said.left_out;
    for (const std::size_t row : said.rows) {
      if (row >= ids.size())
        return bad_request("the file has " + counted(ids.size(), "row", "rows") +
                               ", so there is no row " + std::to_string(row + 1),
                           "said");
      const Id id = ids[row];
      if (!said.columns.empty()) {
        auto kept = enter_in(store, {request.record, entry, std::string(KeptReading::kind),
                                     said.columns, "#" + std::to_string(id)});
        if (!kept) return kept.error();
      }
      if (said.left_out.empty()) continue;
      if (auto gone = store.withdraw(KeptReading::kind, id, entry); !gone) return gone;
    }
  }
  return {};
}

/// Those of `ids` that still count, as they stand now.
std::vector<record::Kept<KeptReading>> as_they_stand(const Store& store,
                                                     const std::vector<Id>& ids) {
  std::vector<record::Kept<KeptReading>> now;
  for (const Id id : ids)
    if (auto one = record::get<KeptReading>(store, id); one && !one->withdrawn)
      now.push_back(*std::move(one));
  return now;
}

/// Readings of one name only wait for their mean; of 64 MB, a second copy would be too many.
Result<void> keep_readings(Store& store, ReadFile file, const KeptReading& all,
                           const ImportRequest& request, ImportedOne& one) {
  const record::Entry& entry = request.entry;
  auto names = own_names(store, all);
  if (!names) return names.error();
  if (request.new_tissues)
    if (auto entered = enter_tissues(store, file, entry, *names, one); !entered) return entered;
  const auto times = times_named(file);
  std::vector<record::Kept<KeptReading>> kept;
  std::vector<Id> ids;
  ids.reserve(file.readings.size());
  kept.reserve(static_cast<std::size_t>(
      std::count_if(file.readings.begin(), file.readings.end(),
                    [&](const Reading& reading) { return times.at(reading.name) > 1; })));
  for (Reading& reading : file.readings) {
    const bool repeated = times.at(reading.name) > 1;
    KeptReading now = all;
    now.reading = std::move(reading);
    keep_off_the_sheet(now);
    link_by_name(now, *names, one.linked);
    auto id = record::add(store, now, entry);
    if (!id) return id.error();
    ids.push_back(*id);
    if (repeated && request.said.empty())
      kept.push_back({*id, *id, {}, false, entry, std::move(now)});
  }
  if (!request.said.empty()) {
    if (auto entered = enter_said(store, ids, request); !entered) return entered;
    kept = as_they_stand(store, ids);
  }
  for (const record::Mean& mean : means_of(kept)) {
    auto id = record::add(store, mean, entry);
    if (!id) return id.error();
    ++one.means;
  }
  one.readings = file.readings.size();
  return {};
}

std::string scale_word(const std::optional<Scale>& scale) {
  if (!scale) return "";
  return *scale == Scale::fraction ? "fraction" : "percent";
}

Result<void> import_one(Store& store, const std::string& path, const ImportRequest& request,
                        const KeptReading& belongs, ImportedOne& one) {
  const auto in_memory = request.contents.find(path);
  auto from_disk =
      in_memory == request.contents.end() ? read_file(path) : Result<std::string>(std::string());
  if (!from_disk) return from_disk.error();
  const std::string& bytes = in_memory == request.contents.end() ? *from_disk : in_memory->second;
  one.file = path;
  one.sha256 = sha256(bytes);
  auto known = store.current("file", {{{"sha256", Cell{one.sha256}}}, false});
  if (!known) return known.error();
  if (!known->empty()) {
    one.already = true;
    auto before = store.current("reading", {{{"file", Cell{known->front().id}}}, false});
    if (!before) return before.error();
    one.readings = before->size();
    return {};
  }
  ReadOptions options{request.scale};
  options.wavelengths = request.wavelengths;
  auto read = readings_in(bytes, path, options);
  if (!read) return read.error();
  if (auto kept = store.keep_bytes(bytes); !kept) return kept.error();
  if (in_memory == request.contents.end()) std::string().swap(*from_disk);
  one.warnings = read->warnings;
  record::ImportedFile file{std::filesystem::path(path).filename().string(), one.sha256,
                            scale_word(request.scale), ""};
  for (const Warning& warning : read->warnings)
    file.warnings += (file.warnings.empty() ? "" : "\n") + line_of(warning);
  auto id = record::add(store, file, request.entry);
  if (!id) return id.error();
  KeptReading all = belongs;
  all.file = *id;
  return keep_readings(store, *std::move(read), all, request, one);
}

}  // namespace

Result<ImportAnswer> record_import(const ImportRequest& request) {
  ImportAnswer answer{request.record, {}};
  auto done = in_record(request.record, [&](Store& store) -> Result<void> {
    auto belongs = belongings(store, request);
    if (!belongs) return belongs.error();
    InputPlace disk;
    disk.files = request.contents.empty();
    auto files = with_folders_opened(request.files, disk);
    if (!files) return files.error();
    if (!request.said.empty() && files->size() != 1)
      return bad_request("expected one file where its rows are described, found " +
                             std::to_string(files->size()) + "; bring the files one at a time",
                         "said");
    for (const NamedFile& file : *files) {
      ImportedOne& one = answer.files.emplace_back();
      auto imported = import_one(store, file.name, request, *belongs, one);
      // Photographs and notes may lie in a folder too; nothing was kept of them.
      if (!imported && file.of_folder && imported.error().code == ErrorCode::bad_input &&
          one.readings == 0)
        one.warnings.push_back({"left out: " + imported.error().message, file.name});
      else if (!imported)
        return imported;
    }
    return {};
  });
  if (!done) return done.error();
  return answer;
}

}  // namespace mendtone::app
