#include "mendtone/base/result.hpp"

#include <cstdio>
#include <cstdlib>

namespace mendtone {

Error bad_input(const std::vector<std::string>& faults, std::string where) {
  std::string all;
  for (const std::string& fault : faults) all += (all.empty() ? "" : "; ") + fault;
  return bad_input(std::move(all), std::move(where));
}

namespace detail {

void stop_without_value(const Error& error) {
  std::fprintf(stderr, "mendtone stopped: a value was taken where there is none: %s\n",
               error.text().c_str());
  std::abort();
}

void stop_without_error() {
  std::fputs("mendtone stopped: an error was asked for where there is none\n", stderr);
  std::abort();
}

}  // namespace detail
}  // namespace mendtone
