#pragma once
#include "mendtone/app/inputs/lamps.hpp"
#include "mendtone/results/lamp.hpp"

namespace mendtone::app {

using results::LampAnswer;
using results::LampFacts;
using results::LampRequest;

Result<LampFacts> lamp_facts(const NamedLamp& lamp);
/// Refuses the first name that is no lamp.
Result<LampAnswer> lamp(const LampRequest& request, const InputPlace& place);

std::string to_text(const LampAnswer&);
inline bool has_answer(const LampAnswer&) {
  return true;
}

}  // namespace mendtone::app
