#pragma once
#include "mendtone/results/common.hpp"

namespace mendtone::results {

/// Something kept that no longer agrees with what it came from.
struct Disagreement {
  std::string what;   ///< "computation #3 (tone)"
  std::string where;  ///< the figure, as a JSON pointer or a column
  std::string kept, now;
};
void fields(Describe&, Disagreement&);

/// A figure that another method gives now.
struct MethodChanged {
  std::string what, where, kept, now;
  std::string changed;  ///< what the method changed since
};
void fields(Describe&, MethodChanged&);

/// A head of the chain of entries that was known from outside.
struct HeadTold {
  std::string head;
  bool fits = false;
  std::string meaning;  ///< where it does not
};
void fields(Describe&, HeadTold&);

/// Numbers agree within 1e-9 of their size (or of 1, for smaller ones): another compiler's rounding
/// is no disagreement, a figure that a reader could see is.
struct RecheckAnswer {
  std::string record;
  bool agrees = true;  ///< nothing differs; a changed method is no disagreement
  std::size_t results = 0, figures = 0, kept_files = 0, readings = 0, means = 0, photographs = 0;
  std::vector<std::string> file_faults;  ///< of the record's file itself
  std::string head;                        ///< of the chain of entries, as it is now
  std::int64_t entries = 0, as_found = 0;  ///< entries; of these, older than the seals
  std::vector<std::string> broken_seals;
  std::vector<HeadTold> heads;
  std::vector<Disagreement> disagreements;
  std::vector<MethodChanged> method_changed;
  std::vector<std::string> notes;  ///< other tables or programs; what could not be looked at
};
void fields(Describe&, RecheckAnswer&);

}  // namespace mendtone::results
