#pragma once
#include <functional>
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/record/store.hpp"

namespace mendtone {

/// What the seals of a record say.
struct SealReport {
  record::Head head;
  std::int64_t entries = 0;
  std::int64_t as_found = 0;  ///< entries older than the seals: sealed as they were found
  /// One line for each place where the chain breaks.
  std::vector<std::string> breaks;

  /// A head that was written down elsewhere, held against this record.
  struct Known {
    enum class Verdict { fits, goes_on_elsewhere, older, changed };
    record::Head head;
    Verdict verdict = Verdict::fits;
    std::string words;
  };
  std::vector<Known> known;
};

/// Computes every seal again. A known head that stands in the chain fits. One that does not: the
/// record ends before it (`older`), or holds another entry in its place, entered at another time
/// (an older backup that went on: `goes_on_elsewhere`), or was changed at or before it (`changed`).
Result<SealReport> check_seals(const std::string& path,
                               const std::vector<record::Head>& known = {});

}  // namespace mendtone
