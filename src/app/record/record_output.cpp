#include "app/inputs/text.hpp"
#include "app/record/record_shown.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/report/decided.hpp"

namespace mendtone::app {
namespace {

using record::Cell;

std::string said_by(const record::Entry& entry) {
  return entry.who + ", " + entry.when + (entry.why.empty() ? "" : ": " + entry.why);
}

/// Long lists are not for reading: spectra, outlines and results show how long they are. Words that
/// somebody entered are shown whole.
std::string shortened(const std::string& text) {
  if (text.size() <= 120 || (text.front() != '[' && text.front() != '{')) return text;
  return text.substr(0, 100) + " … (" + std::to_string(text.size()) + " characters)";
}

std::string cell_text(const Shown& shown, const std::string& column, const Cell& cell) {
  for (const auto& [name, linked] : shown.links)
    if (name == column) return linked + " (#" + record::text_of(cell) + ")";
  return record::text_of(cell);
}

Json shown_cell(const Cell& cell) {
  if (const auto* whole = std::get_if<std::int64_t>(&cell)) return *whole;
  if (const auto* number = std::get_if<double>(&cell)) return *number;
  return record::text_of(cell);
}

/// Cells that hold JSON stay JSON.
Json column_json(const std::string& kind, const std::string& name, const Cell& cell) {
  const auto* described = record::find_kind(kind);
  const auto place = described->position(name);
  if (place == described->columns.size()) return shown_cell(cell);
  const bool is_json = described->columns[place].form != record::CellForm::plain ||
                       (kind == "computation" && name != "name" && std::get_if<std::string>(&cell));
  if (!is_json) return shown_cell(cell);
  auto json = json_from(record::text_of(cell));
  return json ? *std::move(json) : shown_cell(cell);
}

Json entry_json(const record::Entry& entry) {
  return {{"who", entry.who}, {"when", entry.when}, {"why", entry.why}, {"program", entry.program}};
}

std::string text_of_thing(const Shown& thing) {
  std::string text = thing.kind + " #" + std::to_string(thing.id) +
                     (thing.withdrawn ? "   WITHDRAWN" : "") + "   (" + said_by(thing.entry) +
                     ")\n";
  for (const auto& [name, cell] : thing.columns)
    text += "  " + padded(name, 22) + shortened(cell_text(thing, name, cell)) + "\n";
  return text;
}

/// What to write down elsewhere, so that a change of anything before it shows.
std::string head_line(const std::string& head) {
  return "  head " + head + "\n";
}

}  // namespace

std::string to_text(const NewAnswer& answer) {
  return "Made the record " + answer.record + "\n" +
         (answer.note.empty() ? "" : "! " + answer.note + "\n");
}

std::string to_json(const NewAnswer& answer) {
  Json json = document("record.new");
  json["record"] = answer.record;
  if (!answer.note.empty()) json["note"] = answer.note;
  return written(json);
}

std::string to_csv(const NewAnswer& answer) {
  return csv_line({"record", "note"}) + csv_line({answer.record, answer.note});
}

std::string to_text(const CorrectAllAnswer& answer) {
  return "Corrected " + counted(answer.ids.size(), answer.kind, answer.kind + "s") + " in " +
         answer.record + ", as one correction\n";
}

std::string to_json(const CorrectAllAnswer& answer) {
  Json json = document("record.correct_all");
  json["record"] = answer.record;
  json["kind"] = answer.kind;
  json["ids"] = answer.ids;
  return written(json);
}

std::string to_csv(const CorrectAllAnswer& answer) {
  std::string text = csv_line({"kind", "id"});
  for (const record::Id id : answer.ids) text += csv_line({answer.kind, std::to_string(id)});
  return text;
}

Json thing_json(const Shown& thing) {
  Json one{
      {"kind", thing.kind}, {"id", thing.id}, {"row", thing.row}, {"withdrawn", thing.withdrawn}};
  one["entry"] = entry_json(thing.entry);
  Json columns = Json::object();
  for (const auto& [name, cell] : thing.columns)
    columns[name] = column_json(thing.kind, name, cell);
  one["columns"] = std::move(columns);
  Json links = Json::object();
  for (const auto& [name, linked] : thing.links) links[name] = linked;
  one["links"] = std::move(links);
  for (const auto& [name, cell] : thing.columns)
    if (thing.kind == record::Fill::kind && name == "verdict")
      one["standing"] = report::verdict_words(record::text_of(cell));
  return one;
}

std::string to_text(const KeepAnswer& answer) {
  std::string text = std::string(answer.corrected ? "Corrected: " : "Kept: ") + answer.kind + " #" +
                     std::to_string(answer.id) +
                     (answer.name.empty() ? "" : " '" + answer.name + "'") + " in " +
                     answer.record + "\n";
  for (const auto& [name, value] : answer.columns)
    if (name != "name") text += "  " + padded(name, 22) + shortened(value) + "\n";
  for (const std::string& other : answer.superseded)
    text += "  ! " + report::no_longer_chosen(other) + "\n";
  for (const std::string& words : answer.cautions) text += wrapped("  ! " + words, 4);
  return text;
}

std::string to_json(const KeepAnswer& answer) {
  Json json = document("record.keep");
  json["record"] = answer.record;
  json["kind"] = answer.kind;
  json["id"] = answer.id;
  json["name"] = answer.name;
  json["corrected"] = answer.corrected;
  Json columns = Json::object();
  for (const auto& [name, value] : answer.columns) columns[name] = value;
  json["columns"] = std::move(columns);
  if (!answer.superseded.empty()) json["superseded"] = answer.superseded;
  if (!answer.cautions.empty()) json["cautions"] = answer.cautions;
  for (const auto& [name, value] : answer.columns)
    if (answer.kind == record::Fill::kind && name == "verdict")
      json["standing"] = report::verdict_words(value);
  for (const std::string& other : answer.superseded)
    json["notes"].push_back(report::no_longer_chosen(other));
  return written(json);
}

std::string to_csv(const KeepAnswer& answer) {
  return csv_line({"kind", "id", "name"}) +
         csv_line({answer.kind, std::to_string(answer.id), answer.name});
}

std::string to_text(const ImportAnswer& answer) {
  std::string text;
  for (const ImportedOne& one : answer.files) {
    if (one.already) {
      text += one.file + ": already in " + answer.record + " (" +
              counted(one.readings, "reading", "readings") + "); nothing was changed\n";
      continue;
    }
    text += one.file + ": kept " + counted(one.readings, "reading", "readings") + " and " +
            counted(one.means, "mean of repeats", "means of repeats") + " in " + answer.record +
            "\n";
    if (!one.tissues.empty()) text += wrapped("tissues entered: " + listed(one.tissues), 2);
    for (const std::string& line : one.linked) text += "  " + line + "\n";
    for (const Warning& warning : one.warnings) text += "  ! " + line_of(warning) + "\n";
  }
  return text;
}

std::string to_json(const ImportAnswer& answer) {
  Json json = document("record.import");
  json["record"] = answer.record;
  Json files = Json::array();
  for (const ImportedOne& one : answer.files)
    files.push_back({{"file", one.file},
                     {"sha256", one.sha256},
                     {"already_kept", one.already},
                     {"readings", one.readings},
                     {"means", one.means},
                     {"linked", one.linked},
                     {"tissues", one.tissues},
                     {"warnings", to_array(one.warnings)}});
  json["files"] = std::move(files);
  return written(json);
}

std::string to_csv(const ImportAnswer& answer) {
  std::string text = csv_line({"file", "sha256", "already_kept", "readings", "means"});
  for (const ImportedOne& one : answer.files)
    text += csv_line({one.file, one.sha256, one.already ? "yes" : "no",
                      std::to_string(one.readings), std::to_string(one.means)});
  return text;
}

std::string to_text(const ShowAnswer& answer) {
  std::string text;
  if (!answer.counts.empty()) text += "The record " + answer.record + " holds\n";
  for (const auto& [kind, count] : answer.counts)
    if (count > 0) text += "  " + padded(kind, 14) + std::to_string(count) + "\n";
  if (!answer.head.empty()) text += head_line(answer.head);
  if (!answer.reading_only.empty()) text += "! " + answer.reading_only + "\n";
  if (!answer.gate.empty()) {
    text += std::string("Before the next wet step") +
            (record::is_shut(answer.gate) ? "" : ": nothing is owed") + "\n";
    for (const record::GateItem& item : answer.gate)
      text += wrapped("  - " + record::text_of(item), 4);
  }
  if (!text.empty()) text += "\n";
  for (const Shown& thing : answer.things) text += text_of_thing(thing) + "\n";
  if (text.empty()) text = "Nothing found.\n";
  return text;
}

std::string to_json(const ShowAnswer& answer) {
  Json json = document("record.show");
  json["record"] = answer.record;
  if (!answer.counts.empty()) {
    Json counts = Json::object();
    for (const auto& [kind, count] : answer.counts) counts[kind] = count;
    json["counts"] = std::move(counts);
    json["head"] = answer.head;
  }
  if (!answer.reading_only.empty()) json["reading_only"] = answer.reading_only;
  if (!answer.gate.empty()) {
    Json& gate = json["before_the_next_wet_step"] = Json::array();
    for (const record::GateItem& item : answer.gate)
      gate.push_back({{"name", item.name},
                      {"standing", item.standing},
                      {"why", item.why},
                      {"loss", item.loss}});
  }
  Json things = Json::array();
  for (const Shown& thing : answer.things) things.push_back(thing_json(thing));
  json["things"] = std::move(things);
  return written(json);
}

std::string to_csv(const ShowAnswer& answer) {
  std::string text = csv_line({"kind", "id", "who", "when", "why", "column", "value"});
  for (const Shown& thing : answer.things)
    for (const auto& [name, cell] : thing.columns)
      text += csv_line({thing.kind, std::to_string(thing.id), thing.entry.who, thing.entry.when,
                        thing.entry.why, name, record::text_of(cell)});
  return text;
}

std::string to_text(const BackupAnswer& answer) {
  return "Backed up " + answer.record + " to " + answer.file + " (checked; SHA-256 " +
         answer.sha256 + ")\n" + head_line(answer.head);
}

std::string to_json(const BackupAnswer& answer) {
  Json json = document("record.backup");
  json["record"] = answer.record;
  json["file"] = answer.file;
  json["sha256"] = answer.sha256;
  json["head"] = answer.head;
  return written(json);
}

std::string to_csv(const BackupAnswer& answer) {
  return csv_line({"record", "file", "sha256", "head"}) +
         csv_line({answer.record, answer.file, answer.sha256, answer.head});
}

std::string to_text(const ExportAnswer& answer) {
  std::string text = answer.record + " and " + answer.folder + " hold the same\n";
  for (const auto& [kind, rows] : answer.rows)
    if (rows > 0) text += "  " + padded(kind, 14) + std::to_string(rows) + " rows\n";
  return text + "  " + counted(answer.kept_files, "kept file", "kept files") + "\n" +
         head_line(answer.head);
}

std::string to_json(const ExportAnswer& answer) {
  Json json = document("record.export");
  json["record"] = answer.record;
  json["folder"] = answer.folder;
  Json rows = Json::object();
  for (const auto& [kind, count] : answer.rows) rows[kind] = count;
  json["rows"] = std::move(rows);
  json["kept_files"] = answer.kept_files;
  json["head"] = answer.head;
  return written(json);
}

std::string to_csv(const ExportAnswer& answer) {
  std::string text = csv_line({"kind", "rows"});
  for (const auto& [kind, count] : answer.rows) text += csv_line({kind, std::to_string(count)});
  return text;
}

}  // namespace mendtone::app
