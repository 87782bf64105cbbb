// The helper that alone knows the library for spreadsheets. It is started by mendtone for one
// workbook, confines itself before it looks at a byte of it, reads the workbook from its standard
// input, writes its cells to its standard output, and ends. What a workbook does there, it does to
// this process.
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

}  // namespace

int main(int argc, char** argv) {
  using namespace mendtone;
  struct stat facts {};
  const bool is_ods = argc == 2 && std::string_view(argv[1]) == "ods";
  if ((!is_ods && (argc != 2 || std::string_view(argv[1]) != "xlsx")) ||
      ::fstat(STDIN_FILENO, &facts) != 0 || !S_ISREG(facts.st_mode) || facts.st_size <= 0)
    return end(not_asked, "this program is started by mendtone");
  const auto size = static_cast<std::size_t>(facts.st_size);
  void* const bytes = ::mmap(nullptr, size, PROT_READ, MAP_PRIVATE, STDIN_FILENO, 0);
  if (bytes == MAP_FAILED) return end(no_memory, "no memory");
  pictures::Limits limits;
  limits.memory_bytes = most_memory_bytes;
  limits.seconds_in_all = most_seconds;
  if (!pictures::confine(limits)) return end(not_confined, "no limits");
  try {
    const std::string cells = sheets::cells_of({static_cast<const char*>(bytes), size}, is_ods);
    return write_all(cells) ? done : refused;
  } catch (const std::bad_alloc&) {
    return end(no_memory, "it asks for more memory than a spreadsheet needs (1 GB)");
  } catch (const std::exception& fault) {
    return end(refused, fault.what());
  } catch (...) {
    return end(refused, "the library gave up");
  }
}
