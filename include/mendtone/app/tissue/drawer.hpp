#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/record/keep.hpp"
#include "mendtone/app/tissue/tissue.hpp"

namespace mendtone::app {

using results::DrawerAnswer;
using results::InDrawer;

/// Which leftover comes nearest over a backing: the tissue ranking over every tissue of the record
/// that has been read and of which something is left.
struct DrawerRequest {
  TissueRequest tissue;  ///< `tissues` is filled in here
  std::optional<double> needs_cm2;
  std::size_t top = 10;  ///< 0: all
};

/// An answer, and what became of its ranking in the record, where it is kept as a `tissue` result.
struct DrawerAndKept {
  Result<DrawerAnswer> answer;
  Result<record::Link> kept = record::Link();
};
DrawerAndKept drawer(const DrawerRequest& request, const Keeping& keeping);

std::string to_text(const DrawerAnswer&);
inline bool has_answer(const DrawerAnswer& answer) {
  return has_answer(answer.ranking);
}

}  // namespace mendtone::app
