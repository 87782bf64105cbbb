#pragma once
#include <string>
#include <vector>

#include "mendtone/app/record/keep.hpp"

namespace mendtone::app {

/// What lies behind a sheet when it is shown: said once, and kept with the sheet. Never taken from
/// anything else.
struct ShownOver {
  std::string sheet;  ///< its name in the record; empty: the question is about none of its sheets
  record::Link id;
  std::string over;  ///< a backing's name; empty: nobody has said it yet
};

/// Of the sheet that a ranking or a wash is asked about: the one that `keeping` states, else the
/// one that the readings asked for are of. Both empty for any other verb, without a record, and
/// where the request itself says what lies behind.
Result<ShownOver> shown_over(const Verb& verb, const results::Value& request,
                             const Keeping& keeping);

/// The request with that put in.
results::Value with_over(const Verb& verb, const results::Value& request, const std::string& over);

/// Says in the answer where `over` came from.
void say_where_from(const Verb& verb, results::Value& answer, const ShownOver& taken);

/// A refusal that is about what lies behind, with what the record says of it and what to do.
Error explained(Error refused, const ShownOver& kept, const std::string& record);

/// Backings that were read, each name once: to choose from. Bare tissue is none.
Result<std::vector<std::string>> backings_to_choose(const std::string& record);

}  // namespace mendtone::app
