#pragma once
#include <unistd.h>

#include <filesystem>
#include <string>

namespace mendtone::bench {

/// A folder of its own for one test, taken away behind it.
class Scratch {
 public:
  Scratch() {
    std::string name = (std::filesystem::temp_directory_path() / "bench-test-XXXXXX").string();
    path_ = ::mkdtemp(name.data());
  }
  ~Scratch() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;
  std::string operator/(const std::string& name) const { return path_ + "/" + name; }

 private:
  std::string path_;
};

}  // namespace mendtone::bench
