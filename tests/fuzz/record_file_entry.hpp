#pragma once
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "adapters/record_samples.hpp"
#include "fuzz/demand.hpp"
#include "mendtone/adapters/record_seals.hpp"
#include "mendtone/adapters/sqlite_store.hpp"

namespace mendtone::fuzz {

/// A sound record with a few entries, and a place where spoilt copies of it are laid.
class RecordFile {
 public:
  RecordFile() {
    const auto folder = std::filesystem::temp_directory_path();
    path_ = (folder / ("spoilt-" + std::to_string(::getpid()) + ".record")).string();
    remove_it();
    {
      auto store = open_record(path_, Opening::create_if_missing);
      demand(static_cast<bool>(store), "a record can be made");
      demand(static_cast<bool>(record::add(**store, record::chart(), record::entry())), "a sheet");
      for (int repeat = 1; repeat <= 3; ++repeat)
        demand(static_cast<bool>(record::add(**store, record::margin(repeat), record::entry())),
               "a reading");
    }
    std::ifstream file(path_, std::ios::binary);
    sound_.assign(std::istreambuf_iterator<char>(file), {});
    demand(sound_.size() > 4096, "the record lies in its file");
  }
  ~RecordFile() { remove_it(); }
  RecordFile(const RecordFile&) = delete;
  RecordFile& operator=(const RecordFile&) = delete;

  /// A record as a failing disc or a hostile hand may have left it: its length in sixteenths of the
  /// sound one (16: whole), then changes, each of three bytes that say where, one that says how
  /// many bytes follow, and those. It is refused with its reason, or every kind in it can be asked
  /// for.
  int feed(std::string_view bytes) {
    std::string spoilt = sound_;
    if (!bytes.empty()) {
      const std::size_t sixteenths = static_cast<unsigned char>(bytes.front()) % 17;
      spoilt.resize(sixteenths == 16 ? sound_.size() : sound_.size() / 16 * sixteenths);
      bytes.remove_prefix(1);
    }
    while (bytes.size() > 4 && !spoilt.empty()) {
      const auto at = [&](std::size_t i) {
        return std::size_t{static_cast<unsigned char>(bytes[i])};
      };
      const std::size_t place = (at(0) << 16 | at(1) << 8 | at(2)) % spoilt.size();
      const std::size_t count = std::min({at(3) % 64, bytes.size() - 4, spoilt.size() - place});
      std::copy_n(bytes.data() + 4, count, spoilt.data() + place);
      bytes.remove_prefix(4 + count);
    }
    remove_it();
    std::ofstream(path_, std::ios::binary) << spoilt;
    look();
    return 0;
  }

 private:
  void look() const {
    auto store = open_record(path_, Opening::must_exist);
    if (!store) {
      demand(!store.error().message.empty(), "a refusal says why");
      return;
    }
    for (const record::Kind& kind : record::kinds()) {
      const auto rows = (*store)->all(kind.name);
      demand(rows || !rows.error().message.empty(), "a refusal says why");
      (void)(*store)->current(kind.name);
    }
    (void)check_seals(path_);
    (void)check_record_file(path_);
  }

  void remove_it() const {
    for (const char* tail : {"", "-wal", "-shm", "-journal"}) ::unlink((path_ + tail).c_str());
  }

  std::string path_, sound_;
};

inline int feed_record_file(std::string_view bytes) {
  static RecordFile file;
  return file.feed(bytes);
}

}  // namespace mendtone::fuzz
