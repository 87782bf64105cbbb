#include "faulty_disk.hpp"

#include <sys/stat.h>

#include <algorithm>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <map>
#include <memory>
#include <vector>

#include "mendtone/base/random.hpp"
#include "scratch.hpp"

namespace mendtone {
namespace {

/// What was done to a file and not yet synced.
struct Pending {
  std::size_t offset = 0;
  std::string bytes;
  bool truncates = false;  ///< to `offset`
};

/// A file as the platter has it, and what is on the way there.
struct Platter {
  std::string durable;
  std::vector<Pending> pending;
};

void apply(const Pending& change, std::string& to) {
  if (change.truncates) {
    to.resize(std::min(to.size(), change.offset));
    return;
  }
  if (to.size() < change.offset + change.bytes.size())
    to.resize(change.offset + change.bytes.size(), '\0');
  to.replace(change.offset, change.bytes.size(), change.bytes);
}

using Inode = std::pair<dev_t, ino_t>;

struct State {
  DiskFault fault = DiskFault::write_error;
  long at = 0, seen = 0;
  bool met = false, lost = false;
  std::uint64_t seed = 0;
  std::map<Inode, Platter> platters;
  sqlite3_vfs* real = nullptr;
  sqlite3_vfs layer{};
};

/// SQLite's layer is plain functions, so what they share is one per process.
State& state() {
  static State one;
  return one;
}

struct LayeredFile {
  sqlite3_file base;
  Platter* platter;
  sqlite3_file* real() { return reinterpret_cast<sqlite3_file*>(this + 1); }
};

LayeredFile* layered(sqlite3_file* file) {
  return reinterpret_cast<LayeredFile*>(file);
}

enum class Doing { read, write, other };

/// The code that this operation ends with; SQLITE_OK: it is to be done.
int fate(Doing doing) {
  State& now = state();
  if (now.lost) return SQLITE_IOERR;
  const bool reads = now.fault == DiskFault::read_error;
  if ((doing == Doing::read) != reads) return SQLITE_OK;
  // Only a write can stop half-way or find no room.
  const bool writes = now.fault == DiskFault::half_written || now.fault == DiskFault::full;
  if (writes && doing != Doing::write) return SQLITE_OK;
  if (now.seen++ != now.at) return SQLITE_OK;
  now.met = true;
  switch (now.fault) {
    case DiskFault::full:
      return SQLITE_FULL;
    case DiskFault::read_error:
      return SQLITE_IOERR_READ;
    case DiskFault::power_lost:
      now.lost = true;
      return SQLITE_IOERR;
    default:
      return doing == Doing::write ? SQLITE_IOERR_WRITE : SQLITE_IOERR;
  }
}

int close_file(sqlite3_file* file) {
  return layered(file)->real()->pMethods->xClose(layered(file)->real());
}

int read_file_at(sqlite3_file* file, void* to, int size, sqlite3_int64 offset) {
  if (const int code = fate(Doing::read)) return code;
  return layered(file)->real()->pMethods->xRead(layered(file)->real(), to, size, offset);
}

int write_file_at(sqlite3_file* file, const void* from, int size, sqlite3_int64 offset) {
  const int code = fate(Doing::write);
  if (code != SQLITE_OK && !(state().fault == DiskFault::half_written && !state().lost))
    return code;
  const int written = code == SQLITE_OK ? size : size / 2;
  sqlite3_file* real = layered(file)->real();
  const int done = real->pMethods->xWrite(real, from, written, offset);
  if (done == SQLITE_OK && layered(file)->platter)
    layered(file)->platter->pending.push_back(
        {static_cast<std::size_t>(offset),
         std::string(static_cast<const char*>(from), static_cast<std::size_t>(written)), false});
  return code == SQLITE_OK ? done : code;
}

int truncate_file(sqlite3_file* file, sqlite3_int64 size) {
  if (const int code = fate(Doing::other)) return code;
  sqlite3_file* real = layered(file)->real();
  if (layered(file)->platter)
    layered(file)->platter->pending.push_back({static_cast<std::size_t>(size), "", true});
  return real->pMethods->xTruncate(real, size);
}

int sync_file(sqlite3_file* file, int flags) {
  if (const int code = fate(Doing::other)) return code;
  if (Platter* platter = layered(file)->platter) {
    for (const Pending& change : platter->pending) apply(change, platter->durable);
    platter->pending.clear();
  }
  return layered(file)->real()->pMethods->xSync(layered(file)->real(), flags);
}

int file_size(sqlite3_file* file, sqlite3_int64* size) {
  return layered(file)->real()->pMethods->xFileSize(layered(file)->real(), size);
}
int lock_file(sqlite3_file* file, int lock) {
  return layered(file)->real()->pMethods->xLock(layered(file)->real(), lock);
}
int unlock_file(sqlite3_file* file, int lock) {
  return layered(file)->real()->pMethods->xUnlock(layered(file)->real(), lock);
}
int check_lock(sqlite3_file* file, int* taken) {
  return layered(file)->real()->pMethods->xCheckReservedLock(layered(file)->real(), taken);
}
int control_file(sqlite3_file* file, int what, void* with) {
  return layered(file)->real()->pMethods->xFileControl(layered(file)->real(), what, with);
}
int sector_size(sqlite3_file* file) {
  return layered(file)->real()->pMethods->xSectorSize(layered(file)->real());
}
int characteristics(sqlite3_file* file) {
  return layered(file)->real()->pMethods->xDeviceCharacteristics(layered(file)->real());
}
int shm_map(sqlite3_file* file, int page, int size, int extend, void volatile** to) {
  return layered(file)->real()->pMethods->xShmMap(layered(file)->real(), page, size, extend, to);
}
int shm_lock(sqlite3_file* file, int offset, int count, int flags) {
  return layered(file)->real()->pMethods->xShmLock(layered(file)->real(), offset, count, flags);
}
void shm_barrier(sqlite3_file* file) {
  layered(file)->real()->pMethods->xShmBarrier(layered(file)->real());
}
int shm_unmap(sqlite3_file* file, int remove) {
  return layered(file)->real()->pMethods->xShmUnmap(layered(file)->real(), remove);
}

/// No memory mapping of the file itself (version 3), or writes would go unseen.
const sqlite3_io_methods methods{
    2,         close_file,  read_file_at, write_file_at, truncate_file, sync_file,       file_size,
    lock_file, unlock_file, check_lock,   control_file,  sector_size,   characteristics, shm_map,
    shm_lock,  shm_barrier, shm_unmap,    nullptr,       nullptr};

int open_file(sqlite3_vfs*, sqlite3_filename name, sqlite3_file* file, int flags, int* out) {
  State& now = state();
  LayeredFile* opened = layered(file);
  opened->base.pMethods = nullptr;
  opened->platter = nullptr;
  if (now.lost) return SQLITE_CANTOPEN;
  const int code = now.real->xOpen(now.real, name, opened->real(), flags, out);
  if (code != SQLITE_OK) return code;
  opened->base.pMethods = &methods;
  struct stat status {};
  if (name && ::stat(name, &status) == 0) {
    const auto [known, fresh] = now.platters.try_emplace({status.st_dev, status.st_ino});
    // What lay there before is on the platter.
    if (fresh) known->second.durable = contents(name);
    opened->platter = &known->second;
  }
  return SQLITE_OK;
}

int delete_file(sqlite3_vfs*, const char* name, int sync) {
  if (const int code = fate(Doing::other)) return code;
  struct stat status {};
  if (::stat(name, &status) == 0) state().platters.erase({status.st_dev, status.st_ino});
  return state().real->xDelete(state().real, name, sync);
}
int access_file(sqlite3_vfs*, const char* name, int flags, int* answer) {
  return state().real->xAccess(state().real, name, flags, answer);
}
int full_name(sqlite3_vfs*, const char* name, int size, char* to) {
  return state().real->xFullPathname(state().real, name, size, to);
}
int randomness(sqlite3_vfs*, int size, char* to) {
  return state().real->xRandomness(state().real, size, to);
}
int sleep_for(sqlite3_vfs*, int microseconds) {
  return state().real->xSleep(state().real, microseconds);
}
int current_time(sqlite3_vfs*, double* time) {
  return state().real->xCurrentTime(state().real, time);
}
int last_error(sqlite3_vfs*, int size, char* to) {
  return state().real->xGetLastError(state().real, size, to);
}
int current_time_whole(sqlite3_vfs*, sqlite3_int64* time) {
  return state().real->xCurrentTimeInt64(state().real, time);
}

constexpr std::size_t sector = 512;

/// What a loss of power leaves of a file: what was synced, and of the rest some sectors, one of
/// them in part.
std::string after_the_loss(const Platter& platter, CounterRandom& random) {
  std::string left = platter.durable;
  for (const Pending& change : platter.pending) {
    if (change.truncates) {
      if (random.below(2)) apply(change, left);
      continue;
    }
    for (std::size_t from = 0; from < change.bytes.size(); from += sector) {
      std::string piece = change.bytes.substr(from, sector);
      const auto chance = random.below(8);
      if (chance < 4) continue;
      if (chance == 4) piece.resize(1 + random.below(static_cast<std::uint32_t>(piece.size())));
      apply({change.offset + from, piece, false}, left);
    }
  }
  return left;
}

}  // namespace

const char* name_of(DiskFault fault) {
  switch (fault) {
    case DiskFault::half_written:
      return "half written";
    case DiskFault::write_error:
      return "write error";
    case DiskFault::full:
      return "disk full";
    case DiskFault::read_error:
      return "read error";
    case DiskFault::power_lost:
      return "power lost";
  }
  return "";
}

FaultyDisk::FaultyDisk(DiskFault fault, long at, std::uint64_t seed) {
  State& now = state();
  sqlite3_vfs* real = sqlite3_vfs_find(nullptr);
  now = State{};
  now.fault = fault;
  now.at = at;
  now.seed = seed;
  now.real = real;
  sqlite3_vfs& layer = now.layer;
  layer.iVersion = 2;
  layer.szOsFile = static_cast<int>(sizeof(LayeredFile)) + real->szOsFile;
  layer.mxPathname = real->mxPathname;
  layer.zName = "faulty";
  layer.xOpen = open_file;
  layer.xDelete = delete_file;
  layer.xAccess = access_file;
  layer.xFullPathname = full_name;
  layer.xRandomness = randomness;
  layer.xSleep = sleep_for;
  layer.xCurrentTime = current_time;
  layer.xGetLastError = last_error;
  layer.xCurrentTimeInt64 = current_time_whole;
  sqlite3_vfs_register(&layer, 1);
}

FaultyDisk::~FaultyDisk() {
  sqlite3_vfs_unregister(&state().layer);
  sqlite3_vfs_register(state().real, 1);
}

bool FaultyDisk::met() const {
  return state().met;
}

void FaultyDisk::leave_what_a_loss_leaves(const std::string& folder) const {
  CounterRandom random(state().seed);
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    const std::string path = entry.path().string();
    struct stat status {};
    ::stat(path.c_str(), &status);
    if (path.ends_with("-shm")) {
      std::filesystem::remove(path);  // memory
      continue;
    }
    const auto platter = state().platters.find({status.st_dev, status.st_ino});
    if (platter != state().platters.end())
      write_contents(path, after_the_loss(platter->second, random));
  }
}

}  // namespace mendtone
