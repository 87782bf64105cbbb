#pragma once
#include <istream>

#include "mendtone/app/record/keep.hpp"

namespace mendtone::cli {

/// Asks `person` what lies behind the sheet that a ranking or a wash is for, where nobody has said
/// it yet, and keeps the answer with the sheet. Without a person, and after a blank answer, nothing
/// happens.
Result<void> ask_what_lies_behind(std::istream* person, const app::Verb& verb,
                                  const results::Value& request, const app::Keeping& keeping);

}  // namespace mendtone::cli
