#include "mendtone/record/unreadable.hpp"

namespace mendtone::record {

Error unreadable(const KeptRow& row, const Error& why) {
  return {why.code,
          "the record holds a " + row.value.kind + " that cannot be understood: " + why.message +
              "; correct or withdraw it",
          why.where + ", " + row.value.kind + " #" + std::to_string(row.id) + ", row " +
              std::to_string(row.row)};
}

}  // namespace mendtone::record
