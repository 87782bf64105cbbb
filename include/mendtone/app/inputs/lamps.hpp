#pragma once
#include <string>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/formats/lamps.hpp"

namespace mendtone::app {

/// A lamp of a file or of the record, as a light, with what its file states of it.
struct NamedLamp {
  Lamp lamp;
  LampLight light;
  std::vector<Warning> warnings;  ///< what was done on the way in, and what the file contradicts
};

/// True where `name` may mean a lamp of a file or of a record: FILE, FILE#LAMP, or a kept lamp.
bool may_be_lamp(const std::string& name, const InputPlace& place);

/// True where `name` is a file or a folder, or FILE#LAMP with such a file.
bool is_lamp_file(const std::string& name, const InputPlace& place);

/// The one lamp that FILE or FILE#LAMP names; a file of several is refused with their names.
Result<NamedLamp> lamp_named(const std::string& name, const InputPlace& place);

/// The same, where a folder stands for the one lamp of each of its files.
Result<std::vector<NamedLamp>> lamps_of_light(const std::string& name, const InputPlace& place);

/// Every lamp of FILE or of the files of a folder, or the one of FILE#LAMP. In a folder, what is no
/// lamp is passed over and said, unless no lamp is there at all.
Result<std::vector<NamedLamp>> lamps_named(const std::string& name, const InputPlace& place);

/// What the file states and its power does not give: x or y by more than 0.002, colour temperature
/// by more than 1 %. Empty where they agree or nothing is stated.
std::vector<Warning> contradictions(const Lamp& lamp, const Light& light);

}  // namespace mendtone::app
