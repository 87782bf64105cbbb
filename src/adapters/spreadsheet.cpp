#include "mendtone/adapters/spreadsheet.hpp"

#include <fcntl.h>
#include <poll.h>
#include <spawn.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <cstring>
#include <filesystem>
#include <optional>
#include <vector>

#include "adapters/helper_environment.hpp"

extern char** environ;

namespace mendtone {
namespace {

constexpr const char* sheets_program = "mendtone-sheets";
// What 12 million cells take as text, with room; and longer than its processor time allows.
constexpr std::size_t most_text_bytes = std::size_t{400} << 20;
constexpr int most_silence_ms = 120 * 1000;

/// A program that nobody but root and this person can have put there.
bool may_be_run(const std::string& path) {
  struct stat facts {};
  return ::stat(path.c_str(), &facts) == 0 && S_ISREG(facts.st_mode) &&
         (facts.st_uid == 0 || facts.st_uid == ::geteuid()) && (facts.st_mode & S_IWOTH) == 0 &&
         ::access(path.c_str(), X_OK) == 0;
}

std::optional<std::string> sheets_place() {
  std::error_code none;
  const auto folder = std::filesystem::read_symlink("/proc/self/exe", none).parent_path();
  std::vector<std::string> places;
  if (!none) {
    places.push_back((folder / sheets_program).string());
    places.push_back((folder / "../libexec/mendtone" / sheets_program).lexically_normal().string());
  }
  // Where it was to be installed, and where it was built: the latter for tests.
  places.emplace_back(MENDTONE_INSTALLED_SHEETS_PROGRAM);
  places.emplace_back(MENDTONE_BUILT_SHEETS_PROGRAM);
  for (const std::string& place : places)
    if (may_be_run(place)) return place;
  return std::nullopt;
}

/// Closes on leaving.
class Open {
 public:
  explicit Open(int number = -1) : number_(number) {}
  ~Open() { close(); }
  Open(const Open&) = delete;
  Open& operator=(const Open&) = delete;
  int number() const { return number_; }
  void close() {
    if (number_ >= 0) ::close(number_);
    number_ = -1;
  }

 private:
  int number_;
};

bool fill(int file, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t n = ::write(file, bytes.data(), bytes.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(n));
  }
  return true;
}

struct Said {
  std::string cells, fault;
  bool too_much = false, silent = false;
  int status = 0;  ///< as `waitpid` says it
};

/// All that comes through both pipes, until both are closed.
Said listen(int cells, int fault) {
  Said said;
  pollfd both[2] = {{cells, POLLIN, 0}, {fault, POLLIN, 0}};
  std::vector<char> piece(1 << 16);
  while (both[0].fd >= 0 || both[1].fd >= 0) {
    const int ready = ::poll(both, 2, most_silence_ms);
    if (ready < 0 && errno == EINTR) continue;
    if (ready <= 0) {
      said.silent = true;
      return said;
    }
    for (int i = 0; i < 2; ++i) {
      if (both[i].fd < 0 || both[i].revents == 0) continue;
      const ssize_t n = ::read(both[i].fd, piece.data(), piece.size());
      if (n < 0 && errno == EINTR) continue;
      if (n <= 0) {
        both[i].fd = -1;
        continue;
      }
      std::string& to = i == 0 ? said.cells : said.fault;
      if (i == 1 && to.size() > 1000) continue;
      to.append(piece.data(), static_cast<std::size_t>(n));
      if (said.cells.size() > most_text_bytes) {
        said.too_much = true;
        return said;
      }
    }
  }
  return said;
}

/// A text of the library, made fit to be shown: it may hold bytes of the file.
std::string printable(const std::string& text) {
  std::string clean;
  for (const char c : text.substr(0, 300)) clean += c >= ' ' && c <= '~' ? c : ' ';
  return clean;
}

Error unreadable(const std::string& what, const std::string& file) {
  return bad_input("the spreadsheet cannot be read: " + what +
                       ". Open it where it was made and save it again, or save the sheet as CSV",
                   file);
}

/// What a person can make of the end of the helper.
std::optional<Error> told_ending(int status, const Said& said, const std::string& file) {
  if (said.too_much) return unreadable("it holds more text than a table of readings does", file);
  if (WIFEXITED(status) && WEXITSTATUS(status) == 0) return std::nullopt;
  if (WIFEXITED(status) && WEXITSTATUS(status) == 2)
    return outside_world("this machine does not let the helper for spreadsheets limit itself",
                         file);
  if (WIFSIGNALED(status) && (WTERMSIG(status) == SIGXCPU || said.silent))
    return unreadable("to unpack it takes more than a minute of processor time", file);
  if (WIFSIGNALED(status))
    return unreadable("the process that read it failed (signal " +
                          std::to_string(WTERMSIG(status)) +
                          "); the file is damaged or was made to do harm",
                      file);
  return unreadable(said.fault.empty() ? "it is damaged" : printable(said.fault), file);
}

class SheetsProcess {
 public:
  ~SheetsProcess() { (void)end(false); }

  Result<void> start(const std::string& program, const char* kind, int input, int output,
                     int fault) {
    posix_spawn_file_actions_t files;
    ::posix_spawn_file_actions_init(&files);
    ::posix_spawn_file_actions_adddup2(&files, input, STDIN_FILENO);
    ::posix_spawn_file_actions_adddup2(&files, output, STDOUT_FILENO);
    ::posix_spawn_file_actions_adddup2(&files, fault, STDERR_FILENO);
    posix_spawnattr_t attributes;
    ::posix_spawnattr_init(&attributes);
    sigset_t none;
    ::sigemptyset(&none);
    ::posix_spawnattr_setsigmask(&attributes, &none);
    ::posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGMASK);
    std::string name = program, what = kind;
    char* arguments[] = {name.data(), what.data(), nullptr};
    auto kept = helper_environment();
    const int failed =
        ::posix_spawn(&process_, program.c_str(), &files, &attributes, arguments, kept.data());
    ::posix_spawnattr_destroy(&attributes);
    ::posix_spawn_file_actions_destroy(&files);
    if (failed == 0) return {};
    process_ = 0;
    return outside_world(
        std::string("the helper for spreadsheets cannot be started: ") + std::strerror(failed),
        program);
  }

  /// How it ended, as `waitpid` says it; ended by force where it is not to be waited for.
  int end(bool by_itself) {
    int status = 0;
    if (process_ <= 0) return status;
    if (!by_itself) ::kill(process_, SIGKILL);
    while (::waitpid(process_, &status, 0) < 0 && errno == EINTR) {
    }
    process_ = 0;
    return status;
  }

 private:
  pid_t process_ = 0;
};

/// What the helper makes of `input`, and how it ended.
Result<Said> ask_helper(const char* what, std::string_view bytes, const std::string& file_name) {
  const auto program = sheets_place();
  if (!program)
    return outside_world(
        "the helper for spreadsheets is missing: expected it beside this program or in "
        "../libexec/mendtone; install mendtone again",
        sheets_program);
  const auto no_room = [&] {
    return outside_world("this machine gives the program no more memory or open files", file_name);
  };
  const Open input(::memfd_create("mendtone-sheets", MFD_CLOEXEC));
  int cells[2], fault[2];
  if (input.number() < 0 || !fill(input.number(), bytes)) return no_room();
  if (::pipe2(cells, O_CLOEXEC) != 0) return no_room();
  const Open cells_out(cells[0]);
  Open cells_in(cells[1]);
  if (::pipe2(fault, O_CLOEXEC) != 0) return no_room();
  const Open fault_out(fault[0]);
  Open fault_in(fault[1]);
  SheetsProcess process;
  if (auto started =
          process.start(*program, what, input.number(), cells_in.number(), fault_in.number());
      !started)
    return started.error();
  cells_in.close();
  fault_in.close();
  Said said = listen(cells_out.number(), fault_out.number());
  said.status = process.end(!said.too_much && !said.silent);
  return said;
}

}  // namespace

Result<Workbook> read_workbook(std::string_view bytes, const std::string& file_name) {
  const auto facts = check_workbook(bytes, file_name);
  if (!facts) return facts.error();
  const bool ods = facts->kind == WorkbookFacts::Kind::ods;
  auto said = ask_helper(ods ? "ods" : "xlsx", bytes, file_name);
  if (!said) return said.error();
  if (auto failed = told_ending(said->status, *said, file_name)) return *failed;
  return workbook_from(std::move(said->cells), file_name);
}

Result<std::string> write_workbook(std::string_view text) {
  auto said = ask_helper("write", text, "the spreadsheet");
  if (!said) return said.error();
  if (!WIFEXITED(said->status) || WEXITSTATUS(said->status) != 0)
    return outside_world("the spreadsheet could not be written: " + printable(said->fault));
  return std::move(said->cells);
}

}  // namespace mendtone
