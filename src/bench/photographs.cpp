#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>

#include "bench/desk.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/adapters/mask_file.hpp"
#include "mendtone/adapters/photograph.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/imaging/pyramid.hpp"

// Photographs: brought, described, shown in tiles.
namespace mendtone::bench {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view arriving = ".arriving-";

bool is_mask(const std::string& stage) {
  return stage == "mask";
}

Result<std::string> file_name(const Asked& asked) {
  const std::string name = asked.value("name");
  if (name.empty() || name.front() == '.' || name.size() > 200 ||
      name.find_first_of("/\\") != std::string::npos)
    return bad_input("say what the file is called, without a folder", "name");
  return name;
}

struct Measured {
  ImageSize size;
  std::string profile;
  std::string ending;  ///< of what the bytes are, whatever the file was called
};

/// What is measured is opened anew, and must then have a profile.
const PhotographOptions to_show{{}, 0, true};

/// A photograph passes the gate of photographs that are shown; a mask needs no profile, and an
/// inside. Every row is decoded: what ends early, or is damaged further down, is no picture to
/// keep.
Result<Measured> measured(const std::string& path, bool mask) {
  auto format = picture_format(path);
  if (!format) return format.error();
  const std::string ending(ending_of(*format));
  if (mask) {
    auto size = mask_size(path);
    if (!size) return size.error();
    auto region = read_mask(path, "mask", *size);
    if (!region) return region.error();
    return Measured{*size, {}, ending};
  }
  auto photograph = Photograph::open(path, to_show);
  if (!photograph) return photograph.error();
  if (auto whole = (*photograph)->read_all(); !whole) return whole.error();
  return Measured{(*photograph)->size(), (*photograph)->facts().profile.description, ending};
}

/// Whether these bytes lie under this name already, in an ordinary file: a link is not followed.
bool lies_there(const std::string& path, const std::string& sha256) {
  const auto hash = sha256_of_file_itself(path);
  return hash && *hash == sha256;
}

/// One photograph on its way in: a file of no name yet, locked while it grows.
class ArrivingPhotograph final : public Incoming {
 public:
  ArrivingPhotograph(Desk& desk, const Asked& asked, std::string name, record::Entry entry)
      : desk_(desk), asked_(asked), name_(std::move(name)), entry_(std::move(entry)) {}
  ~ArrivingPhotograph() override {
    if (fd_ >= 0) ::close(fd_);
    if (!path_.empty()) ::unlink(path_.c_str());
  }
  ArrivingPhotograph(const ArrivingPhotograph&) = delete;
  ArrivingPhotograph& operator=(const ArrivingPhotograph&) = delete;

  Result<void> begin() {
    const std::string folder = desk_.photographs();
    std::error_code code;
    fs::create_directories(folder, code);
    std::string path = folder + "/" + std::string(arriving) + "XXXXXX";
    fd_ = ::mkostemp(path.data(), O_CLOEXEC);
    if (fd_ < 0) return fault();
    path_ = path;
    ::flock(fd_, LOCK_EX | LOCK_NB);
    return {};
  }

  Result<void> piece(const char* bytes, std::size_t count) override {
    while (count > 0) {
      const ssize_t written = ::write(fd_, bytes, count);
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) return fault();
      bytes += written;
      count -= static_cast<std::size_t>(written);
    }
    return {};
  }

  Reply finish() override {
    if (::fsync(fd_) != 0) return refusal(fault());
    auto found = measured(path_, is_mask(asked_.value("stage")));
    if (!found) return refusal(told(found.error()));
    auto hash = sha256_of_file_itself(path_);
    if (!hash) return refusal(told(hash.error()));
    const std::string kept = desk_.photographs() + "/" + *hash + found->ending;
    // The same bytes may lie there already, in use; what else lies there gives way to them.
    std::error_code ignored;
    const bool taken = fs::exists(fs::symlink_status(kept, ignored));
    if (!lies_there(kept, *hash))
      if (auto put = put_in_place(kept); !put) return refusal(put.error());
    Reply reply = enter(kept, *found);
    // What another entry knows stays, put right or as it was.
    if (reply.status != 200 && !taken) ::unlink(kept.c_str());
    return reply;
  }

 private:
  Error fault() const {
    return outside_world(std::string("the photograph cannot be kept: ") + std::strerror(errno),
                         name_);
  }

  /// A name that is a link is replaced, not followed. The new name is on the disk before the record
  /// speaks of it.
  Result<void> put_in_place(const std::string& kept) {
    const mode_t mask = ::umask(0);
    ::umask(mask);
    ::fchmod(fd_, 0666 & ~mask);
    if (::rename(path_.c_str(), kept.c_str()) != 0) return fault();
    path_.clear();
    const int folder = ::open(desk_.photographs().c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    const bool synced = folder >= 0 && ::fsync(folder) == 0;
    const Error failed = fault();
    if (folder >= 0) ::close(folder);
    return synced ? Result<void>() : failed;
  }

  /// The file's name on the disk means nothing to her.
  Error told(Error error) const {
    if (error.where.find(path_) != std::string::npos) error.where = name_;
    return error;
  }

  Reply enter(const std::string& path, const Measured& found) {
    app::KeepRequest request;
    request.record = desk_.record;
    request.entry = entry_;
    request.kind = "photograph";
    const std::string called = asked_.value("called");
    request.columns = {{"sheet", asked_.value("sheet")},
                       {"name", called.empty() ? name_ : called},
                       {"path", path},
                       {"width_px", std::to_string(found.size.width)},
                       {"height_px", std::to_string(found.size.height)},
                       {"profile", found.profile}};
    for (const char* column : {"stage", "side", "light", "taken", "note"})
      request.columns.push_back({column, asked_.value(column)});
    auto answer = app::record_keep(request);
    if (!answer) return refusal(answer.error());
    return as_json(Json{{"id", answer->id},
                        {"name", answer->name},
                        {"width", found.size.width},
                        {"height", found.size.height}});
  }

  Desk& desk_;
  Asked asked_;
  std::string name_;
  record::Entry entry_;
  std::string path_;
  int fd_ = -1;
};

Result<record::Photograph> entered(const Desk& desk, const Asked& asked) {
  auto store = open_record(desk.record, Opening::must_exist);
  if (!store) return store.error();
  auto kept = record::get<record::Photograph>(**store, std::stoll(asked.parts.front()));
  if (!kept) return kept.error();
  return kept->value;
}

/// As the record writes outlines.
Result<std::string> outline_of(const std::string& mask) {
  auto corners = mask_outline(mask);
  if (!corners) return corners.error();
  std::string text;
  for (const Point& corner : *corners)
    text += (text.empty() ? "" : " ") + shortest(corner.x) + "," + shortest(corner.y);
  return text;
}

/// Deletes the files of these names that no program has locked: one that still writes has.
template <class Wanted>
void sweep_unlocked(const fs::path& folder, const Wanted& wanted) {
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator(folder, ignored)) {
    if (!wanted(entry.path().filename().string())) continue;
    const int fd = ::open(entry.path().c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    if (fd < 0) continue;
    if (::flock(fd, LOCK_EX | LOCK_NB) == 0) ::unlink(entry.path().c_str());
    ::close(fd);
  }
}

int small_number(const std::string& text) {
  return text.size() > 9 ? -1 : std::stoi(text);
}

}  // namespace

std::string Desk::photographs() const {
  return record + ".photographs";
}

Result<std::unique_ptr<Incoming>> incoming(Desk& desk, const Asked& asked) {
  auto name = file_name(asked);
  if (!name) return name.error();
  auto entry = entry_by(desk, asked.value("by"));
  if (!entry) return entry.error();
  if (asked.value("sheet").empty()) return bad_input("say which sheet it shows", "sheet");
  auto arriving_one = std::make_unique<ArrivingPhotograph>(desk, asked, *name, *entry);
  if (auto begun = arriving_one->begin(); !begun) return begun.error();
  return std::unique_ptr<Incoming>(std::move(arriving_one));
}

void sweep_left_over(const Desk& desk) {
  const fs::path folder = desk.photographs();
  sweep_unlocked(folder, [](const std::string& name) { return name.rfind(arriving, 0) == 0; });
  // Maps that were being drawn, and pictures that were being made for the screen.
  sweep_unlocked(folder, [](const std::string& name) {
    return name.rfind("change-", 0) == 0 && std::count(name.begin(), name.end(), '.') > 1;
  });
  sweep_unlocked(folder / ".tiles", [](const std::string& name) {
    return name.find(".levels.") != std::string::npos;
  });
}

Reply photograph_call(Desk& desk, const Asked& asked) {
  auto photograph = entered(desk, asked);
  if (!photograph) return refusal(404, photograph.error().message);
  Json json{{"id", std::stoll(asked.parts.front())},
            {"name", photograph->name},
            {"stage", photograph->stage}};
  ImageSize size;
  if (is_mask(photograph->stage)) {
    auto mask = mask_size(photograph->path);
    if (!mask) return refusal(mask.error());
    size = *mask;
    auto outline = outline_of(photograph->path);
    if (!outline) return refusal(outline.error());
    json["outline"] = *outline;
  } else {
    auto file = Photograph::open(photograph->path, to_show);
    if (!file) return refusal(file.error());
    const PhotographFacts& facts = (*file)->facts();
    size = facts.size;
    if (facts.pixels_per_mm) json["mm_per_px"] = 1 / *facts.pixels_per_mm;
    json["profile"] = facts.profile.description;
    json["warnings"] = facts.warnings;
    if (facts.profile_from == declared_srgb) json["mark"] = declared_srgb;
  }
  json["width"] = size.width;
  json["height"] = size.height;
  json["tile"] = tile_px;
  json["levels"] = level_count(size, tile_px);
  return as_json(json);
}

Reply tile_call(Desk& desk, const Asked& asked) {
  auto photograph = entered(desk, asked);
  if (!photograph) return refusal(404, photograph.error().message);
  if (is_mask(photograph->stage)) return refusal(400, "a mask has no colours to show");
  auto png = desk.tiles.png({photograph->path, photograph->sha256}, small_number(asked.parts[1]),
                            small_number(asked.parts[2]), small_number(asked.parts[3]));
  if (!png) return refusal(png.error());
  Reply reply = as_png(*std::move(png));
  reply.lasting = true;
  return reply;
}

std::string Desk::maps(std::int64_t before, std::int64_t after) const {
  return photographs() + "/change-" + std::to_string(before) + "-" + std::to_string(after);
}

Reply map_call(Desk& desk, const Asked& asked) {
  const std::string& kind = asked.parts[2];
  const bool known = kind == "de00" || kind == "dL" || kind == "da" || kind == "db";
  if (!known) return refusal(404, "nothing is here");
  auto png = read_file(desk.maps(std::stoll(asked.parts[0]), std::stoll(asked.parts[1])) + "-" +
                       kind + ".png");
  return png ? as_png(*std::move(png)) : refusal(404, "this map was not drawn yet");
}

}  // namespace mendtone::bench
