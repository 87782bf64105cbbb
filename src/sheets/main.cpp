// The helper that alone knows the libraries for spreadsheets. It is started by mendtone for one
// workbook, confines itself before it looks at a byte of it, reads the workbook from its standard
// input, writes its cells to its standard output, and ends. What a workbook does there, it does to
// this process. Asked to write, it makes a workbook of mendtone's own text the same way round.
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdio>
#include <cstring>
#include <exception>
#include <new>
#include <string>
#include <string_view>

#include "pictures/confine.hpp"
#include "sheets/cells.hpp"
#include "sheets/write.hpp"

namespace {

// 256 MB unpacked, the cells of it, and their text.
constexpr std::size_t most_memory_bytes = std::size_t{1} << 30;
constexpr int most_seconds = 60;

enum Ending { done = 0, refused = 1, not_confined = 2, not_asked = 3, no_memory = 4 };

bool write_all(std::string_view text) {
  while (!text.empty()) {
    const ssize_t n = ::write(STDOUT_FILENO, text.data(), text.size());
    if (n <= 0) return false;
    text.remove_prefix(static_cast<std::size_t>(n));
  }
  return true;
}

int end(Ending ending, const char* why) {
  (void)!::write(STDERR_FILENO, why, std::strlen(why));
  return ending;
}

/// The library writes to a name, so the workbook is made in memory that has one.
int write_workbook(std::string_view text) {
  const int file = ::memfd_create("mendtone-workbook", MFD_CLOEXEC);
  if (file < 0) return end(no_memory, "no memory");
  const std::string name = "/proc/self/fd/" + std::to_string(file);
  if (const std::string failed = mendtone::sheets::write_xlsx(text, name.c_str()); !failed.empty())
    return end(refused, failed.c_str());
  struct stat made {};
  if (::fstat(file, &made) != 0 || made.st_size <= 0) return end(refused, "nothing was written");
  const auto size = static_cast<std::size_t>(made.st_size);
  const void* const bytes = ::mmap(nullptr, size, PROT_READ, MAP_PRIVATE, file, 0);
  if (bytes == MAP_FAILED) return end(no_memory, "no memory");
  return write_all({static_cast<const char*>(bytes), size}) ? done : refused;
}

}  // namespace

int main(int argc, char** argv) {
  using namespace mendtone;
  struct stat facts {};
  const std::string_view asked = argc == 2 ? argv[1] : "";
  if ((asked != "ods" && asked != "xlsx" && asked != "write") ||
      ::fstat(STDIN_FILENO, &facts) != 0 || !S_ISREG(facts.st_mode) || facts.st_size <= 0)
    return end(not_asked, "this program is started by mendtone");
  const auto size = static_cast<std::size_t>(facts.st_size);
  void* const bytes = ::mmap(nullptr, size, PROT_READ, MAP_PRIVATE, STDIN_FILENO, 0);
  if (bytes == MAP_FAILED) return end(no_memory, "no memory");
  const std::string_view input(static_cast<const char*>(bytes), size);
  if (asked == "write") return write_workbook(input);
  pictures::Limits limits;
  limits.memory_bytes = most_memory_bytes;
  limits.seconds_in_all = most_seconds;
  if (!pictures::confine(limits)) return end(not_confined, "no limits");
  try {
    const std::string cells = sheets::cells_of(input, asked == "ods");
    return write_all(cells) ? done : refused;
  } catch (const std::bad_alloc&) {
    return end(no_memory, "it asks for more memory than a spreadsheet needs (1 GB)");
  } catch (const std::exception& fault) {
    return end(refused, fault.what());
  } catch (...) {
    return end(refused, "the library gave up");
  }
}
