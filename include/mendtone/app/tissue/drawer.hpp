#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/record/keep.hpp"
#include "mendtone/app/tissue/tissue.hpp"

namespace mendtone::app {

/// Which leftover comes nearest over a backing: the tissue ranking over every tissue of the record
/// that has been read and of which something is left.
struct DrawerRequest {
  TissueRequest tissue;  ///< `tissues` and `record` are filled in here
  std::optional<double> needs_cm2;
  std::size_t top = 10;  ///< 0: all
};

/// What the record says of one tissue of the ranking.
struct InDrawer {
  std::string tissue, lot, place;
  std::optional<double> left_cm2;  ///< nothing: never said
  bool enough = true;              ///< false where less is left than is needed
};

struct DrawerAnswer {
  TissueAnswer ranking;
  std::vector<InDrawer> drawer;  ///< one a candidate of the ranking, in its order
};

/// The ranking itself is kept in the record as a `tissue` result.
Result<DrawerAnswer> drawer(const DrawerRequest& request, const Keeping& keeping);

std::string to_text(const DrawerAnswer&);
std::string to_json(const DrawerAnswer&);
std::string to_csv(const DrawerAnswer&);
inline bool has_answer(const DrawerAnswer& answer) {
  return has_answer(answer.ranking);
}

}  // namespace mendtone::app
