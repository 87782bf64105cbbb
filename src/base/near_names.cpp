#include "mendtone/base/near_names.hpp"

#include <algorithm>
#include <utility>

namespace mendtone {
namespace {

std::size_t edits_between(const std::string& a, const std::string& b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t above = row[j];
      row[j] = std::min({above + 1, row[j - 1] + 1, diagonal + (a[i - 1] == b[j - 1] ? 0 : 1)});
      diagonal = above;
    }
  }
  return row.back();
}

}  // namespace

std::vector<std::string> near_names(const std::string& name, std::vector<std::string> names) {
  std::sort(names.begin(), names.end());
  names.erase(std::unique(names.begin(), names.end()), names.end());
  std::vector<std::pair<std::size_t, std::string>> near;
  for (const std::string& one : names) {
    if (one.empty() || one.size() > 200 || name.size() > 200) continue;
    const bool inside = one.find(name) != std::string::npos || name.find(one) != std::string::npos;
    const std::size_t edits = edits_between(name, one);
    if (inside || edits <= 2 + name.size() / 5) near.push_back({edits, one});
  }
  std::sort(near.begin(), near.end());
  std::vector<std::string> found;
  for (const auto& [edits, one] : near)
    if (found.size() < 5) found.push_back(one);
  return found;
}

}  // namespace mendtone
