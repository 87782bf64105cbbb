#pragma once
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/formats/read.hpp"
#include "mendtone/record/gate.hpp"
#include "mendtone/record/store.hpp"

namespace mendtone::app {

/// Columns as a person writes them: links by name ("chart", "chart/margin", "#3"), loads as
/// "ochre=0.4, carbon=0.05", outlines as "120,80 160,80 160,120" (polygons parted by ';'), a lamp's
/// power as a lamp file's name or its lines.
using Written = std::vector<std::pair<std::string, std::string>>;

/// A new, empty record: nothing else makes one.
struct NewRequest {
  std::string record;
};
struct NewAnswer {
  std::string record;
  std::string note;  ///< what has to be said of the place; may be empty
};
Result<NewAnswer> record_new(const NewRequest& request);

/// Keeps a new thing, or a correction where `thing` names an old one. A correction changes only the
/// columns that are written; an empty value empties a column.
struct KeepRequest {
  std::string record;
  record::Entry entry;
  std::string kind;
  Written columns;
  std::string thing;
  /// The row that stood before her when she corrected it; refused where another has come since.
  /// 0: whichever is the newest.
  record::Id seen_row = 0;
};

struct KeepAnswer {
  std::string kind, name;
  record::Id id = 0;
  std::string record;
  bool corrected = false;
  std::vector<std::pair<std::string, std::string>> columns;  ///< as kept, filled ones only
  std::vector<std::string> superseded{};  ///< fills that were chosen for the same loss before
  std::vector<std::string> cautions{};    ///< of what was entered: ultraviolet, solvents, airbrush
};

Result<KeepAnswer> record_keep(const KeepRequest& request);

/// One correction of several things of a kind, by one entry: all of them, or none. Things by their
/// names, or all readings of an imported file.
struct CorrectAllRequest {
  std::string record;
  record::Entry entry;
  std::string kind;
  std::vector<std::string> things;
  std::string file;  ///< for readings: all that came with it
  Written columns;
};
struct CorrectAllAnswer {
  std::string record, kind;
  std::vector<record::Id> ids;
};
Result<CorrectAllAnswer> record_correct_all(const CorrectAllRequest& request);

struct WithdrawRequest {
  std::string record;
  record::Entry entry;
  std::string kind, thing;
};
Result<KeepAnswer> record_withdraw(const WithdrawRequest& request);

/// What a person says of some rows of a file as it is kept: of a column that is written here, the
/// file's own word stays readable in the row's history.
struct SaidOfRows {
  std::vector<std::size_t> rows;  ///< places in the file, from 0
  Written columns;                ///< an empty value empties a column
  std::string left_out;           ///< why these rows are withdrawn at once; empty: they stay
};

/// Readings files into the record, each once: bytes, raw readings and the means of repeats. What
/// they belong to is said for all of them; readings whose name is that of a spot of the sheet, or
/// of a tissue, are linked to it besides.
struct ImportRequest {
  std::string record;
  record::Entry entry;
  std::vector<std::string> files;  ///< a folder stands for the files in it
  /// Bytes under the names of `files` that are in memory already; the others are read from the
  /// disk.
  Inputs contents;
  std::optional<Scale> scale;
  std::optional<StatedBands> wavelengths{};  ///< of files that do not say them themselves
  std::string sheet, spot, loss, tissue, trial, bath, instrument;  ///< names
  std::string stage, read_by, taken;
  /// Enters a tissue, with its lot and weight, for every name of role tissue that the record does
  /// not know yet.
  bool new_tissues = false;
  std::vector<SaidOfRows> said{};  ///< of one file only
};

struct ImportedOne {
  std::string file, sha256;
  bool already = false;  ///< kept before: nothing was changed
  std::size_t readings = 0, means = 0;
  std::vector<std::string> linked;   ///< "margin: spot margin"
  std::vector<std::string> tissues;  ///< names of those that were entered
  std::vector<Warning> warnings;
};

struct ImportAnswer {
  std::string record;
  std::vector<ImportedOne> files;
};

Result<ImportAnswer> record_import(const ImportRequest& request);

/// Rows to look at, with links written as names.
struct Shown {
  std::string kind;
  record::Id id = 0, row = 0;
  record::Entry entry;
  bool withdrawn = false;
  std::vector<std::pair<std::string, record::Cell>> columns;  ///< filled ones only
  std::vector<std::pair<std::string, std::string>> links;     ///< column -> name of what it names
};

/// No sheet: what there is, kind by kind, and the sheets. A sheet: all of its parts.
struct ShowRequest {
  std::string record;
  std::string sheet;
};

struct ShowAnswer {
  std::string record, sheet;
  std::vector<std::pair<std::string, std::int64_t>> counts;
  std::vector<Shown> things;
  std::string head;          ///< of the whole record; with the counts
  std::string reading_only;  ///< why nothing can be kept in it; empty where it can
  std::vector<record::GateItem> gate;  ///< of a sheet: before its next wet step
};

Result<ShowAnswer> record_show(const ShowRequest& request);

struct HistoryRequest {
  std::string record;
  std::string kind, thing;
};
/// Every row of one thing, the oldest first, withdrawn ones too.
Result<ShowAnswer> record_history(const HistoryRequest& request);

struct FindRequest {
  std::string record;
  std::vector<std::string> words;  ///< all must stand in one thing, in any case
};
Result<ShowAnswer> record_find(const FindRequest& request);

struct BackupRequest {
  std::string record, file;
};
struct BackupAnswer {
  std::string record, file, sha256, head;
};
Result<BackupAnswer> record_backup(const BackupRequest& request);

/// Everything into a folder that must be empty or new: one CSV a kind, the kept bytes as files,
/// readings as CGATS and computed results as JSON to read elsewhere, and the schema. The CSV files
/// and bytes alone rebuild an equal record.
struct ExportRequest {
  std::string record, folder;
};
struct ExportAnswer {
  std::string record, folder;
  std::vector<std::pair<std::string, std::int64_t>> rows;  ///< file -> rows
  std::size_t kept_files = 0;
  std::string head;
};
Result<ExportAnswer> record_export(const ExportRequest& request);

/// A record from such a folder; refuses to write over an existing one, and keeps nothing unless all
/// of it can be kept.
struct RestoreRequest {
  std::string folder, record;
};
Result<ExportAnswer> record_restore(const RestoreRequest& request);

#define MENDTONE_ANSWER(Answer)           \
  std::string to_text(const Answer&);     \
  std::string to_json(const Answer&);     \
  std::string to_csv(const Answer&);      \
  inline bool has_answer(const Answer&) { \
    return true;                          \
  }
MENDTONE_ANSWER(NewAnswer)
MENDTONE_ANSWER(KeepAnswer)
MENDTONE_ANSWER(CorrectAllAnswer)
MENDTONE_ANSWER(ImportAnswer)
MENDTONE_ANSWER(ShowAnswer)
MENDTONE_ANSWER(BackupAnswer)
MENDTONE_ANSWER(ExportAnswer)
#undef MENDTONE_ANSWER

}  // namespace mendtone::app
