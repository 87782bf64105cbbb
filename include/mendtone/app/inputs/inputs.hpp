#pragma once
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>

#include "mendtone/base/going.hpp"
#include "mendtone/base/result.hpp"

namespace mendtone::app {

/// The bytes of inputs by the name that the person gave them.
using Inputs = std::map<std::string, std::string>;

using mendtone::Going;

/// Where inputs are found: files, and what a record keeps under a name.
struct InputPlace {
  InputPlace() = default;
  InputPlace(std::string record_path) : record(std::move(record_path)) {}
  InputPlace(const char* record_path) : record(record_path) {}

  std::string record;  ///< path; empty: none
  /// False: names never mean files of the disk, only what the record keeps.
  bool files = true;
  /// When set, everything that is read is noted here, so that a result can be kept with exactly
  /// the bytes that it was computed from.
  std::shared_ptr<Inputs> noted;
  /// When set, inputs come from here and from nowhere else: a kept result is computed again.
  std::shared_ptr<const Inputs> only;
  /// The day, as "2026-03-14…", for what ages; empty: not known.
  std::string today;
  /// When set, passes over photographs ask it.
  Going going;
};

/// True where `name` means a file (of a result computed again: an input that was kept with it), not
/// something that a record keeps under it.
bool is_file(const std::string& name, const InputPlace& place);

/// The bytes of one input: a file of that name, else what the record keeps under it - readings (as
/// `to_kept_json`), a lamp, or a computed result. Refuses a name that is neither, naming near ones.
///
/// A name in the record is that of a sheet, "SHEET/SPOT", "SHEET/LOSS", a spot, loss, tissue,
/// trial, imported file or reading; "@STAGE" behind it keeps only readings of that stage
/// ("chart/margin@before"); "drawer" is every reading of a tissue of which something is left;
/// "trials" is every reading of a trial that says its loads, for a calibration; "stocks" is the
/// stock file that the record's stocks and droppers make up, the latest of each colorant.
Result<std::string> input_bytes(const std::string& name, const InputPlace& place);

/// The path of an input that is too large to be kept (photograph, mask, profile): a file, or a
/// photograph of the record. Its hash is noted instead of its bytes; a result computed again takes
/// the file only where it still has that hash, and a photograph of the record is refused where it
/// was changed since it was entered.
Result<std::string> input_file(const std::string& name, const InputPlace& place);

/// A loss's or a spot's outline in the record as a region is written (`polygon:…` or `mask:NAME`);
/// nothing where the record has no such place. Refuses a place that was never outlined.
Result<std::optional<std::string>> outline_text(const std::string& name, const InputPlace& place);

/// Readings of that name with role backing or substrate that the record keeps; nothing where there
/// are none.
Result<std::optional<std::string>> backing_bytes(const std::string& name, const InputPlace& place);

}  // namespace mendtone::app
