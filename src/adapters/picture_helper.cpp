#include "adapters/picture_helper.hpp"

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/time.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>
#include <mutex>
#include <vector>

#include "adapters/helper_environment.hpp"
#include "mendtone/adapters/picture_program.hpp"

extern char** environ;

namespace mendtone::pictures {
namespace {

constexpr const char* program = "mendtone-pictures";
/// A step that takes longer than its processor time allows ends by itself, this only where it
/// neither works nor ends.
constexpr int most_silence_s = 600;

std::vector<std::string>& named_places() {
  static std::vector<std::string> places;
  return places;
}

/// A program that nobody but root and this person can have put there.
bool trusted(const std::string& path) {
  struct stat facts {};
  return ::stat(path.c_str(), &facts) == 0 && S_ISREG(facts.st_mode) &&
         (facts.st_uid == 0 || facts.st_uid == ::geteuid()) && (facts.st_mode & S_IWOTH) == 0 &&
         ::access(path.c_str(), X_OK) == 0;
}

/// Its place, or nothing.
std::string found_program() {
  std::error_code none;
  const auto folder = std::filesystem::read_symlink("/proc/self/exe", none).parent_path();
  std::vector<std::string> places;
  if (!none) {
    places.push_back((folder / program).string());
    places.push_back((folder / "../libexec/mendtone" / program).lexically_normal().string());
  }
  places.insert(places.end(), named_places().begin(), named_places().end());
  // Where it was to be installed, and where it was built: the latter for tests.
  places.emplace_back(MENDTONE_INSTALLED_PICTURE_PROGRAM);
  places.emplace_back(MENDTONE_BUILT_PICTURE_PROGRAM);
  for (const std::string& place : places)
    if (trusted(place)) return place;
  return {};
}

void set_patience(int socket) {
  const timeval time{most_silence_s, 0};
  ::setsockopt(socket, SOL_SOCKET, SO_RCVTIMEO, &time, sizeof time);
}

/// The running helper. Lives as long as the program; a helper that has ended is started anew.
class Helper {
 public:
  ~Helper() {
    const std::lock_guard lock(mutex_);
    end();
  }

  Result<void> prepare() {
    const std::lock_guard lock(mutex_);
    return running();
  }

  /// The number of a new process for one picture, which speaks through `socket`.
  Result<std::int32_t> process_for(int socket) {
    const std::lock_guard lock(mutex_);
    // A helper that was ended from outside is noticed only now.
    for (int tries = 0; tries < 2; ++tries) {
      if (auto ready = running(); !ready) return ready.error();
      if (send_message(socket_, asking(Ask::start).bytes, socket)) {
        if (const auto reply = receive_message(socket_, false)) return process_in(reply->bytes);
      }
      end();
    }
    return outside_world("the helper for pictures does not start; install mendtone again", program);
  }

  /// How that process ended, as `waitpid` says it; nothing where that cannot be known.
  std::optional<int> ended(std::int32_t process) {
    const std::lock_guard lock(mutex_);
    Packer request = asking(Ask::ended);
    request(process);
    if (socket_ < 0 || owner_ != ::getpid() || !send_message(socket_, request.bytes)) return {};
    const auto reply = receive_message(socket_, false);
    if (!reply) return {};
    Unpacker in(reply->bytes);
    const auto status = in.take<std::int32_t>();
    return in.sound ? std::optional<int>(status) : std::nullopt;
  }

 private:
  static Result<std::int32_t> process_in(const std::string& bytes) {
    Unpacker in(bytes);
    const auto version = in.take<std::uint64_t>();
    const auto process = in.take<std::int32_t>();
    if (!in.sound || version != protocol_version)
      return outside_world(
          "this helper for pictures belongs to another version of mendtone; "
          "install both together",
          found_program());
    if (process <= 0)
      return outside_world(
          "this machine gives the helper for pictures no process: close other "
          "programs");
    return process;
  }

  Result<void> running() {
    // A copy of this program (fork) must not speak with its parent's helper.
    if (socket_ >= 0 && owner_ == ::getpid()) return {};
    end();
    const std::string path = found_program();
    if (path.empty())
      return outside_world(
          "the helper that reads pictures is missing: expected it beside this program or in "
          "../libexec/mendtone; install mendtone again",
          program);
    return start(path);
  }

  Result<void> start(const std::string& path) {
    int pair[2];
    if (::socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, pair) != 0)
      return outside_world("this machine gives the program no more open files");
    posix_spawn_file_actions_t files;
    ::posix_spawn_file_actions_init(&files);
    ::posix_spawn_file_actions_addopen(&files, 0, "/dev/null", O_RDONLY, 0);
    ::posix_spawn_file_actions_addopen(&files, 1, "/dev/null", O_WRONLY, 0);
    ::posix_spawn_file_actions_adddup2(&files, pair[1], control_socket);
    // Signals that this program holds back would be held back there too.
    posix_spawnattr_t attributes;
    ::posix_spawnattr_init(&attributes);
    sigset_t none;
    ::sigemptyset(&none);
    ::posix_spawnattr_setsigmask(&attributes, &none);
    ::posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGMASK);
    std::string name = path;
    char* arguments[] = {name.data(), nullptr};
    auto kept = helper_environment();
    const int failed =
        ::posix_spawn(&process_, path.c_str(), &files, &attributes, arguments, kept.data());
    ::posix_spawnattr_destroy(&attributes);
    ::posix_spawn_file_actions_destroy(&files);
    ::close(pair[1]);
    if (failed != 0) {
      ::close(pair[0]);
      return outside_world(
          std::string("the helper for pictures cannot be started: ") + std::strerror(failed), path);
    }
    socket_ = pair[0];
    owner_ = ::getpid();
    set_patience(socket_);
    return {};
  }

  void end() {
    if (socket_ >= 0) ::close(socket_);
    // Its time and memory are counted with this program's own.
    if (socket_ >= 0 && owner_ == ::getpid())
      while (::waitpid(process_, nullptr, 0) < 0 && errno == EINTR) {
      }
    socket_ = -1;
  }

  std::mutex mutex_;
  int socket_ = -1;
  pid_t process_ = 0, owner_ = 0;
};

Helper& helper() {
  static Helper one;
  return one;
}

/// What a person can make of the end of a process.
Error told_end(std::optional<int> status, const std::string& picture) {
  const auto damaged = [&](const std::string& what) {
    return bad_input("the picture cannot be read: " + what +
                         "; the file is damaged or was made to do harm. Nothing else was touched",
                     picture);
  };
  if (!status) return outside_world("the helper for pictures has ended; try again", picture);
  if (WIFSIGNALED(*status)) {
    const int signal = WTERMSIG(*status);
    if (signal == SIGPROF || signal == SIGXCPU)
      return damaged("to unpack it takes more than a minute of processor time");
    if (signal == SIGKILL || signal == SIGTERM)
      return outside_world(
          "the process that read the picture was ended from outside, perhaps because memory ran "
          "out; try again",
          picture);
    return damaged("the process that read it failed (signal " + std::to_string(signal) + ")");
  }
  if (WIFEXITED(*status) && WEXITSTATUS(*status) == 2)
    return outside_world("this machine does not let the helper for pictures limit itself", picture);
  return damaged("the process that read it does not answer");
}

/// A text of the library, made fit to be shown: it may hold bytes of the file.
std::string printable(const std::string& text) {
  std::string clean;
  for (const char c : text.substr(0, 300)) clean += c >= ' ' && c <= '~' ? c : ' ';
  return clean;
}

}  // namespace

Packer asking(Ask ask) {
  Packer request;
  request(static_cast<std::uint64_t>(ask));
  return request;
}

Session::Session(std::string picture, int socket, std::int32_t process)
    : picture_(std::move(picture)), socket_(socket), process_(process) {}

Session::~Session() {
  ::close(socket_);
  if (memory_) ::munmap(memory_, memory_bytes_);
}

Result<std::unique_ptr<Session>> Session::start(const std::string& picture) {
  int pair[2];
  if (::socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, pair) != 0)
    return outside_world("this machine gives the program no more open files", picture);
  auto process = helper().process_for(pair[1]);
  ::close(pair[1]);
  if (!process) {
    ::close(pair[0]);
    return process.error();
  }
  set_patience(pair[0]);
  return std::unique_ptr<Session>(new Session(picture, pair[0], *process));
}

Error Session::gone() const {
  return told_end(helper().ended(process_), picture_);
}

Result<std::string> Session::ask(const Packer& request, int descriptor) {
  if (!send_message(socket_, request.bytes, descriptor)) return gone();
  const auto reply = receive_message(socket_, false);
  if (!reply) return gone();
  Unpacker in(reply->bytes);
  const auto outcome = in.take<std::uint64_t>();
  if (in.sound && outcome == 0) return reply->bytes.substr(sizeof outcome);
  if (in.sound && outcome == 2)
    return bad_input("the file is damaged: it asks for more memory than a picture needs (1 GB)",
                     picture_);
  return bad_input(printable(in.take<std::string>()), picture_);
}

Result<unsigned char*> Session::memory(std::size_t bytes) {
  if (bytes <= memory_bytes_) return memory_;
  const auto no_memory = [&] {
    return outside_world("this machine has not enough memory free for that", picture_);
  };
  const int file = ::memfd_create("mendtone-picture", MFD_CLOEXEC | MFD_ALLOW_SEALING);
  // Were it made smaller by the other side, this one would end when it looks.
  const bool made = file >= 0 && ::ftruncate(file, static_cast<off_t>(bytes)) == 0 &&
                    ::fcntl(file, F_ADD_SEALS, F_SEAL_SHRINK | F_SEAL_GROW | F_SEAL_SEAL) == 0;
  void* const place =
      made ? ::mmap(nullptr, bytes, PROT_READ | PROT_WRITE, MAP_SHARED, file, 0) : MAP_FAILED;
  if (place == MAP_FAILED) {
    if (file >= 0) ::close(file);
    return no_memory();
  }
  if (memory_) ::munmap(memory_, memory_bytes_);
  memory_ = static_cast<unsigned char*>(place);
  memory_bytes_ = bytes;
  Packer request = asking(Ask::memory);
  request(static_cast<std::uint64_t>(bytes));
  auto taken = ask(request, file);
  ::close(file);
  if (!taken) return taken.error();
  return memory_;
}

}  // namespace mendtone::pictures

namespace mendtone {

void add_picture_program(const std::string& path) {
  pictures::named_places().push_back(path);
}

std::string picture_program() {
  return pictures::found_program();
}

void prepare_for_pictures() {
  (void)pictures::helper().prepare();
}

}  // namespace mendtone
