// Prints the types of the page's answers, for the build.
#include <cstdio>

#include "mendtone/results/documents.hpp"
#include "mendtone/results/walk.hpp"

int main() {
  const std::string text = mendtone::results::typescript(mendtone::results::documents());
  return std::fputs(text.c_str(), stdout) < 0 ? 1 : 0;
}
