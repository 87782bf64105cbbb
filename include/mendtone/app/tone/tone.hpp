#pragma once
#include <string>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/results/tone.hpp"

namespace mendtone::app {

using results::Tone;
using results::ToneAnswer;
using results::ToneRequest;

/// Readings to tone. Refuses (exit 3) when not one name has a colour under the lights asked for.
Result<ToneAnswer> tone(const ToneRequest& request, const InputPlace& place = {});

/// The readings that the request names, as `tone` takes them.
Result<std::vector<Reading>> readings_of(const ToneRequest& request, const InputPlace& place);

/// The same for readings in memory. `own_light`: Lab-only readings are shown under the light and
/// observer that they are bound to, whatever `viewing` says.
Result<ToneAnswer> tone_of(const ReadFile& file, const Viewing& viewing, bool own_light);

/// Conditions of a reading as one line, as far as its file states them.
std::string conditions_of(const Reading& reading);

std::string to_text(const ToneAnswer&);
inline bool has_answer(const ToneAnswer&) {
  return true;
}

}  // namespace mendtone::app
