#pragma once
#include <map>
#include <string>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/formats/read.hpp"

namespace mendtone::app {

/// A file that was named, or that lies in a folder that was.
struct NamedFile {
  std::string name;
  bool of_folder = false;  ///< not named itself: what is no table of readings may lie there too
};

/// Names with each folder replaced by the files in it, in the order of the alphabet; hidden files
/// and folders within are passed over. Refuses an empty folder, and more than 10,000 files.
Result<std::vector<NamedFile>> with_folders_opened(const std::vector<std::string>& names,
                                                   const InputPlace& place);

/// True where the name is that of a folder, or was one when a kept result read it.
bool is_folder(const std::string& name, const InputPlace& place);

/// Readings of several files, of which the same reading brought twice counts once.
class OnceEach {
 public:
  /// Takes those out of `file` that an earlier file had, equal in all but their place, and says so.
  void take_out(ReadFile& file);

 private:
  std::map<std::string, std::string> seen_;  ///< the reading as text -> the file that had it first
};

}  // namespace mendtone::app
