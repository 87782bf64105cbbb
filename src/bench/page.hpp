#pragma once
#include <cstddef>
#include <string_view>

// The page's files, compiled in: no path of the disk is ever served.
namespace mendtone::bench::detail {

struct PageFile {
  const char* name;
  std::string_view bytes;
};

extern const PageFile page_files[];
extern const std::size_t page_file_count;

}  // namespace mendtone::bench::detail
