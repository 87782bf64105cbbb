#include <malloc.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "app/inputs/tables.hpp"
#include "bench/desk.hpp"
#include "bench/turn.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/app/tone/tone.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/formats/read.hpp"
#include "results/json.hpp"

// Readings files: looked at, then kept.
namespace mendtone::bench {
namespace {

/// More rows than a person looks at; a file may hold a hundred times as many.
constexpr std::size_t most_shown = 5000;
constexpr std::size_t most_coloured = 500;  ///< rows that are shown with a colour of their own

Result<std::optional<Scale>> scale_in(const Asked& asked) {
  const std::string word = asked.value("scale");
  if (word.empty()) return std::optional<Scale>();
  if (word == "fraction") return std::optional(Scale::fraction);
  if (word == "percent") return std::optional(Scale::percent);
  return bad_input("expected fraction or percent, found '" + word + "'", "scale");
}

/// "400-700:10", for a file that does not say its wavelengths.
Result<std::optional<StatedBands>> wavelengths_in(const Asked& asked) {
  const std::string text = asked.value("wavelengths");
  if (text.empty()) return std::optional<StatedBands>();
  auto bands = stated_bands(text);
  if (!bands) return bad_input(bands.error().message, "wavelengths");
  return std::optional(*bands);
}

/// The name under which the file is entered: what it is called, not where it was.
Result<std::string> file_name(const Asked& asked) {
  const std::string name = asked.value("name");
  if (name.empty() || name == "." || name == ".." || name.find_first_of("/\\") != std::string::npos)
    return bad_input("say what the file is called, without a folder", "name");
  return name;
}

/// Waits until no other large file is being read; a small one waits for none.
class AloneIfLarge {
 public:
  AloneIfLarge(Desk& desk, const std::string& body) {
    constexpr std::size_t large = std::size_t{256} << 10;
    if (body.size() >= large) lock_ = std::unique_lock(desk.large_files);
  }
  ~AloneIfLarge() {
    // What this thread has used would stay with it, and the next file is another thread's.
    if (lock_) ::malloc_trim(0);
  }
  AloneIfLarge(const AloneIfLarge&) = delete;
  AloneIfLarge& operator=(const AloneIfLarge&) = delete;

 private:
  std::unique_lock<std::mutex> lock_;
};

Json lines_of(const std::vector<Warning>& warnings) {
  Json lines = Json::array();
  for (const Warning& warning : warnings)
    lines.push_back(warning.where.empty() ? warning.text : warning.where + ": " + warning.text);
  return lines;
}

/// How many different names.
std::size_t names_of(const std::vector<Reading>& readings) {
  std::set<std::string_view> names;
  for (const Reading& reading : readings) names.insert(reading.name);
  return names.size();
}

constexpr std::size_t most_rows = 100000;

Result<std::size_t> row_number(const std::string& text, const char* where) {
  const auto number = parse_number(text);
  if (!number || *number < 0 || *number >= most_rows || *number != std::floor(*number))
    return bad_input("expected rows as 0-5,7, found '" + text + "'", where);
  return static_cast<std::size_t>(*number);
}

/// "0-5,7": places of rows in a file.
Result<std::vector<std::size_t>> rows_in(const std::string& text, const char* where) {
  std::vector<std::size_t> rows;
  for (std::size_t from = 0; from <= text.size();) {
    const auto end = std::min(text.find(',', from), text.size());
    const std::string part = text.substr(from, end - from);
    const auto dash = part.find('-');
    auto first = row_number(part.substr(0, dash), where);
    if (!first) return first.error();
    auto last = dash == std::string::npos ? first : row_number(part.substr(dash + 1), where);
    if (!last) return last.error();
    for (std::size_t row = *first; row <= *last; ++row) rows.push_back(row);
    if (rows.size() > most_rows) return bad_input("too many rows", where);
    from = end + 1;
  }
  return rows;
}

/// What she said of rows: [{"rows": "0-5,7", "columns": {…}, "left_out": "why"}].
Result<std::vector<app::SaidOfRows>> said_in(const Asked& asked) {
  std::vector<app::SaidOfRows> all;
  const std::string text = asked.value("said");
  if (text.empty()) return all;
  auto json = json_from(text, "said");
  if (!json) return json.error();
  if (!json->is_array()) return bad_input("expected a list", "said");
  for (const Json& one : *json) {
    app::SaidOfRows said;
    const Json& columns = json_member(one, "columns");
    auto rows = rows_in(json_text(json_member(one, "rows")).value_or(""), "said");
    if (!rows) return rows.error();
    said.rows = *std::move(rows);
    said.left_out = json_text(json_member(one, "left_out")).value_or("");
    if (columns.is_object())
      for (const auto& [name, value] : columns.items()) {
        const auto cell = json_text(value);
        if (!cell) return bad_input("expected text", name);
        said.columns.push_back({name, *cell});
      }
    if (said.left_out.empty() || !said.columns.empty())
      if (auto sound = only_what_is_said(said.columns); !sound) return sound.error();
    all.push_back(std::move(said));
  }
  return all;
}

/// The readings in `groups` as repeats of one place each, whatever the file calls them; their names
/// are the places of the groups.
Result<Json> tones_of_groups(const ReadFile& file,
                             const std::vector<std::vector<std::size_t>>& groups) {
  ReadFile renamed;
  for (std::size_t group = 0; group < groups.size(); ++group)
    for (const std::size_t row : groups[group]) {
      if (row >= file.readings.size())
        return bad_input("the file has no row " + std::to_string(row + 1), "repeats");
      renamed.readings.push_back(file.readings[row]);
      renamed.readings.back().name = std::to_string(group);
      renamed.readings.back().repeat = std::to_string(row + 1);
    }
  // Lab alone under another light has no colour under D65: it is shown under its own.
  const auto seen = app::viewing(results::ViewingRequest{}, {"D65"}, {});
  auto tones = app::tone_of(renamed, *seen, true);
  if (!tones) return tones.error();
  return results::value_json(tones->tones);
}

/// The colour of every row by itself.
Result<Json> colours_of_rows(const ReadFile& file) {
  std::vector<std::vector<std::size_t>> each(std::min(file.readings.size(), most_coloured));
  for (std::size_t row = 0; row < each.size(); ++row) each[row] = {row};
  return tones_of_groups(file, each);
}

/// "0-2;3,5": rows that are repeats of one place, group by group.
Result<std::vector<std::vector<std::size_t>>> groups_in(const std::string& text) {
  std::vector<std::vector<std::size_t>> groups;
  for (std::size_t from = 0; from <= text.size();) {
    const auto end = std::min(text.find(';', from), text.size());
    auto rows = rows_in(text.substr(from, end - from), "repeats");
    if (!rows) return rows.error();
    groups.push_back(*std::move(rows));
    from = end + 1;
  }
  return groups;
}

Json row_of(const Reading& reading) {
  Json row{{"name", reading.name},
           {"repeat", reading.repeat},
           {"role", name_of(reading.role)},
           {"backing", reading.backing},
           {"state", name_of(reading.state)},
           {"condition", name_of(reading.condition)},
           {"geometry", reading.geometry},
           {"instrument", reading.instrument},
           {"plies", reading.plies ? Json(*reading.plies) : Json()},
           {"loads", reading.loads},
           {"load_unit", name_of(reading.load_unit)},
           {"line", reading.source.line}};
  if (reading.lab) row["lab"] = Json{reading.lab->L, reading.lab->a, reading.lab->b};
  if (reading.spectrum) row["bands"] = reading.spectrum->value.size();
  return row;
}

}  // namespace

Reply preview_call(Desk& desk, const Asked& asked, const std::string& body) {
  auto name = file_name(asked);
  if (!name) return refusal(name.error());
  auto scale = scale_in(asked);
  if (!scale) return refusal(scale.error());
  auto wavelengths = wavelengths_in(asked);
  if (!wavelengths) return refusal(wavelengths.error());
  ReadOptions options{*scale};
  options.wavelengths = *wavelengths;
  const Turn turn(desk.computing);
  if (!turn) return too_busy();
  const AloneIfLarge alone(desk, body);
  auto read = app::readings_in(body, *name, options);
  if (!read) return refusal(read.error());
  const std::size_t count = read->readings.size(), shown = std::min(count, most_shown);
  Json json{{"count", count},
            {"names", names_of(read->readings)},
            {"readings", Json::array()},
            {"tones", Json::array()},
            {"warnings", lines_of(read->warnings)}};
  for (std::size_t i = 0; i < shown; ++i) json["readings"].push_back(row_of(read->readings[i]));
  if (shown < count) {
    json["warnings"].push_back("Only the first " + std::to_string(shown) + " of " +
                               std::to_string(count) +
                               " readings are shown here, without their tones. Keeping the file "
                               "keeps all of them.");
    return as_json(json);
  }
  // Lab alone under another light has no colour under D65: the rows are shown all the same.
  const auto seen = app::viewing(results::ViewingRequest{}, {"D65"}, {});
  if (auto tones = app::tone_of(*read, *seen, true)) {
    json["tones"] = results::value_json(tones->tones);
  } else {
    json["no_tones"] = tones.error().text();
  }
  if (auto colours = colours_of_rows(*read)) json["colours"] = *std::move(colours);
  const std::string repeats = asked.value("repeats");
  if (!repeats.empty()) {
    auto groups = groups_in(repeats);
    if (!groups) return refusal(groups.error());
    auto tones = tones_of_groups(*read, *groups);
    if (!tones) return refusal(tones.error());
    json["groups"] = *std::move(tones);
  }
  return as_json(json);
}

Reply readings_call(Desk& desk, const Asked& asked, std::string body) {
  auto name = file_name(asked);
  if (!name) return refusal(name.error());
  auto scale = scale_in(asked);
  if (!scale) return refusal(scale.error());
  auto entry = entry_by(desk, asked.value("by"));
  if (!entry) return refusal(entry.error());
  const Turn turn(desk.computing);
  if (!turn) return too_busy();
  const AloneIfLarge alone(desk, body);
  app::ImportRequest request;
  request.record = desk.record;
  request.entry = *entry;
  request.files = {*name};
  request.contents = {{*name, std::move(body)}};
  auto wavelengths = wavelengths_in(asked);
  if (!wavelengths) return refusal(wavelengths.error());
  request.scale = *scale;
  request.wavelengths = *wavelengths;
  request.sheet = asked.value("sheet");
  request.spot = asked.value("spot");
  request.loss = asked.value("loss");
  request.tissue = asked.value("tissue");
  request.trial = asked.value("trial");
  request.bath = asked.value("bath");
  request.instrument = asked.value("instrument");
  request.new_tissues = asked.value("new_tissues") == "1";
  auto said = said_in(asked);
  if (!said) return refusal(said.error());
  request.said = *std::move(said);
  request.stage = asked.value("stage");
  request.read_by = asked.value("read_by");
  request.taken = asked.value("taken");
  return reply_of(app::record_import(request));
}

}  // namespace mendtone::bench
