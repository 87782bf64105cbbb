#pragma once
#include <string>
#include <vector>

#include "mendtone/record/store.hpp"

namespace mendtone::record {

/// One thing before the next wet step of a sheet. A step of the same name that the person keeps
/// settles it: done, left open or allowed, with her reason.
struct GateItem {
  std::string name;
  std::string standing;  ///< "owed", "barred", "stale", "left open", "allowed", "done"
  std::string why;
  std::string loss;  ///< empty: of the whole sheet
};

/// What is owed before the next wet step (media stated, spot tests, a reading after the bath, a dry
/// trial, a pasted offcut), what bars a liquid, what is stale, and what was settled, in that order.
/// Which facts it rests on: reference-data/cautions.csv. A pure function of the sheet's record.
std::vector<GateItem> gate_of(const WholeSheet& sheet);

/// "Owed: spot test of watercolour with water (gap): …", as it is printed.
std::string text_of(const GateItem& item);
/// True while something is owed, barred or stale.
bool is_shut(const std::vector<GateItem>& gate);

}  // namespace mendtone::record
