#include "mendtone/base/result.hpp"

#include <cstdio>
#include <cstdlib>

namespace mendtone::detail {

void stop_without_value(const Error& error) {
  std::fprintf(stderr, "mendtone stopped: a value was taken where there is none: %s\n",
               error.text().c_str());
  std::abort();
}

void stop_without_error() {
  std::fputs("mendtone stopped: an error was asked for where there is none\n", stderr);
  std::abort();
}

}  // namespace mendtone::detail
