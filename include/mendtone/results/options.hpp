#pragma once
#include "mendtone/base/result.hpp"
#include "mendtone/results/walk.hpp"

namespace mendtone::results {

/// One option of the command line, as the fields of a request describe it.
struct Option {
  std::string name;  ///< "--over", or "FILE" where its place says what it is
  std::string help, takes, shown;  ///< `takes`: "{loss,tear}"; `shown`: the default
  bool required = false;
  bool flag = false;  ///< stands alone
  bool many = false;  ///< may be repeated
  bool greedy = false;  ///< and takes several texts at a time
  bool writes = false;  ///< names what is written
  std::string alone;    ///< what it means where nothing stands behind it
  /// Puts the texts behind it into a request. Refuses (exit 2) what the field does not take.
  std::function<Result<void>(void* request, const std::vector<std::string>& texts)> put;
};

/// The options of a request, in the order of its fields. A field of the same option in two places
/// (--scale of two sources) is filled in both.
std::vector<Option> options_of(const Type& request);

/// A file that a request asks for, and the option that names it.
struct FileToWrite {
  std::string option, path;
};
std::vector<FileToWrite> files_to_write(const Type& request, const void* value);

/// Every text of a request but those that name what is written.
std::vector<std::string> texts_read(const Type& request, const void* value);

}  // namespace mendtone::results
