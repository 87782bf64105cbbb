// The helper that alone knows the libraries of pictures. It is started by mendtone, never touches a
// picture itself, and makes one confined process for each: a copy of itself, so that the libraries
// need no loading anew. Whatever a picture does there, it does to that process.
#include <fcntl.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <cstdio>
#include <exception>
#include <map>
#include <new>

#include "pictures/comparing.hpp"
#include "pictures/confine.hpp"
#include "pictures/reading.hpp"

namespace mendtone::pictures {
namespace {

/// Memory that is shared with the program.
class Shared {
 public:
  bool take(int descriptor, std::size_t size) {
    void* const place = ::mmap(nullptr, size, PROT_READ | PROT_WRITE, MAP_SHARED, descriptor, 0);
    ::close(descriptor);
    if (place == MAP_FAILED) return false;
    if (place_) ::munmap(place_, size_);
    place_ = place;
    size_ = size;
    return true;
  }
  void* at(std::size_t offset, std::size_t count) const {
    return offset <= size_ && count <= size_ - offset ? static_cast<char*>(place_) + offset
                                                      : nullptr;
  }
  std::size_t size() const { return size_; }

 private:
  void* place_ = nullptr;
  std::size_t size_ = 0;
};

constexpr const char* not_understood = "the request was not understood";

/// What one process knows and does: one picture, or two planes to compare.
class Desk {
 public:
  /// The reason of a refusal, or nothing with `out` filled.
  std::optional<std::string> answer(Message& message, Packer& out) {
    Unpacker in(message.bytes);
    switch (static_cast<Ask>(in.take<std::uint64_t>())) {
      case Ask::open:
        return open(in, message.descriptor, out);
      case Ask::page:
        return page(in, out);
      case Ask::rows:
        return rows(in);
      case Ask::memory:
        return memory(in, message.descriptor);
      case Ask::coarse:
        return coarse(in, out);
      case Ask::blocks:
        return blocks(in, out);
      case Ask::outline:
        return outline(in, out);
      default:
        return not_understood;
    }
  }

 private:
  std::optional<std::string> open(Unpacker& in, int descriptor, Packer& out) {
    const auto reader = in.take<std::string>();
    const auto plain_alpha = in.take<std::uint64_t>();
    if (!in.sound || descriptor < 0) return not_understood;
    PageSizes sizes;
    if (auto failed = picture_.open(reader, plain_alpha != 0, descriptor, sizes)) return failed;
    out(static_cast<std::uint64_t>(sizes.size()));
    for (const auto& [width, height] : sizes) out(width), out(height);
    return {};
  }

  std::optional<std::string> page(Unpacker& in, Packer& out) {
    const auto index = in.take<std::int32_t>();
    PageFacts facts;
    if (!in.sound) return not_understood;
    if (auto failed = picture_.page(index, facts)) return failed;
    fields(out, facts);
    return {};
  }

  std::optional<std::string> rows(Unpacker& in) {
    const auto page = in.take<std::int32_t>(), y0 = in.take<std::int32_t>(),
               y1 = in.take<std::int32_t>(), channels = in.take<std::int32_t>();
    const auto sample = static_cast<Sample>(in.take<std::uint64_t>());
    if (!in.sound) return not_understood;
    return picture_.rows(page, y0, y1, channels, sample, shared_.at(0, 0), shared_.size());
  }

  std::optional<std::string> memory(Unpacker& in, int descriptor) {
    const auto size = in.take<std::uint64_t>();
    if (!in.sound || descriptor < 0) return not_understood;
    return shared_.take(descriptor, static_cast<std::size_t>(size)) ? std::nullopt
                                                                    : std::optional("no memory");
  }

  /// The next plane of L* in the shared memory.
  bool plane(Unpacker& in, std::size_t& from, Plane& plane) const {
    plane.width = in.take<std::int32_t>();
    plane.height = in.take<std::int32_t>();
    if (!in.sound || plane.width < 1 || plane.height < 1) return false;
    const std::size_t bytes = static_cast<std::size_t>(plane.width) *
                              static_cast<std::size_t>(plane.height) * sizeof(float);
    plane.values = static_cast<const float*>(shared_.at(from, bytes));
    from += bytes;
    return plane.values != nullptr;
  }

  std::optional<std::string> coarse(Unpacker& in, Packer& out) const {
    Plane before, after;
    std::size_t from = 0;
    if (!plane(in, from, before) || !plane(in, from, after)) return not_understood;
    const auto map = coarse_map(before, after);
    out(static_cast<std::uint64_t>(map ? 1 : 0));
    if (map)
      for (const double value : *map) out(value);
    return {};
  }

  std::optional<std::string> blocks(Unpacker& in, Packer& out) const {
    BlockRow row;
    std::size_t from = 0;
    if (!plane(in, from, row.before) || !plane(in, from, row.after)) return not_understood;
    in(row.block), in(row.columns), in(row.before_row), in(row.after_row);
    for (double& value : row.map) in(value);
    if (!in.sound || row.columns < 2 || row.block < 1 || row.block > row.before.width ||
        row.block > row.before.height)
      return not_understood;
    const auto shifts = block_shifts(row);
    out(static_cast<std::uint64_t>(shifts.size()));
    for (const BlockShift& shift : shifts) out(shift.x), out(shift.y), out(shift.dx), out(shift.dy);
    return {};
  }

  std::optional<std::string> outline(Unpacker& in, Packer& out) const {
    const auto width = in.take<std::int32_t>(), height = in.take<std::int32_t>();
    if (!in.sound || width < 1 || height < 1) return not_understood;
    auto* const mask = static_cast<unsigned char*>(
        shared_.at(0, static_cast<std::size_t>(width) * static_cast<std::size_t>(height)));
    if (!mask) return not_understood;
    const auto corners = outline_of(mask, width, height);
    out(static_cast<std::uint64_t>(corners.size()));
    for (const auto& [x, y] : corners) out(x), out(y);
    return {};
  }

  OpenPicture picture_;
  Shared shared_;
};

/// One request to one answer: 0 and the values, 1 and the reason, 2 where memory ran out.
std::string answer_to(Desk& desk, Message& message) {
  Packer out;
  out(std::uint64_t{0});
  std::optional<std::string> refused;
  try {
    refused = desk.answer(message, out);
  } catch (const std::bad_alloc&) {
    Packer none;
    none(std::uint64_t{2});
    return none.bytes;
  } catch (const std::exception& fault) {
    refused = fault.what();
  }
  if (!refused) return out.bytes;
  Packer reason;
  reason(std::uint64_t{1});
  reason(*refused);
  return reason.bytes;
}

[[noreturn]] void serve_one_picture(int socket) {
  const Limits limits;
  if (!confine(limits)) ::_exit(2);
  {
    Desk desk;
    while (auto message = receive_message(socket, true)) {
      begin_step(limits);
      if (!send_message(socket, answer_to(desk, *message))) break;
    }
  }
  ::_exit(0);
}

/// The processes that this one has made, and how they ended.
class Children {
 public:
  std::int32_t start(int socket) {
    const pid_t pid = ::fork();
    if (pid == 0) {
      ::close(control_socket);
      serve_one_picture(socket);
    }
    if (pid > 0) status_[pid] = still_running;
    return pid;
  }
  void collect() {
    int status = 0;
    for (pid_t pid; (pid = ::waitpid(-1, &status, WNOHANG)) > 0;) status_[pid] = status;
  }
  /// How it ended; one that goes on, though nobody speaks with it any more, is ended.
  std::int32_t ended(std::int32_t pid) {
    const auto found = status_.find(pid);
    if (found == status_.end()) return 0;
    int status = found->second;
    status_.erase(found);
    for (int tries = 0; status == still_running; ++tries) {
      if (tries == 400) ::kill(pid, SIGKILL);
      const pid_t gone = ::waitpid(pid, &status, tries < 400 ? WNOHANG : 0);
      if (gone == pid) break;
      if (gone < 0) return 0;
      status = still_running;
      ::usleep(5000);
    }
    return status;
  }
  /// Those that ended as they should are of no interest.
  void forget() {
    for (auto one = status_.begin(); one != status_.end();)
      one = one->second == 0 ? status_.erase(one) : std::next(one);
  }
  void end_all() {
    for (const auto& [pid, status] : status_)
      if (status == still_running) ::kill(pid, SIGKILL);
    while (::waitpid(-1, nullptr, 0) > 0) {
    }
  }

 private:
  static constexpr int still_running = -1;
  std::map<std::int32_t, int> status_;
};

std::string reply_to(Children& children, Message& message) {
  Packer out;
  Unpacker in(message.bytes);
  const auto ask = static_cast<Ask>(in.take<std::uint64_t>());
  children.collect();
  if (ask == Ask::start && message.descriptor >= 0) {
    children.forget();
    out(protocol_version);
    out(children.start(message.descriptor));
  } else if (ask == Ask::ended) {
    out(children.ended(in.take<std::int32_t>()));
  }
  if (message.descriptor >= 0) ::close(message.descriptor);
  return out.bytes;
}

int serve() {
  int kind = 0;
  socklen_t size = sizeof kind;
  if (::getsockopt(control_socket, SOL_SOCKET, SO_TYPE, &kind, &size) != 0) {
    std::fputs("mendtone starts this helper by itself when a picture is needed\n", stderr);
    return 2;
  }
  ::close_range(control_socket + 1, ~0u, 0);
  ::signal(SIGPIPE, SIG_IGN);
  // The bench waits for none of its children; here each one's end is of interest.
  ::signal(SIGCHLD, SIG_DFL);
  // Ctrl-C is for mendtone, which then ends this one.
  ::signal(SIGINT, SIG_IGN);
  warm_up_reading();
  warm_up_comparing();
  Children children;
  while (auto message = receive_message(control_socket, true))
    if (!send_message(control_socket, reply_to(children, *message))) break;
  children.end_all();
  return 0;
}

}  // namespace
}  // namespace mendtone::pictures

int main() {
  return mendtone::pictures::serve();
}
