#include "app/record/owner.hpp"

#include <optional>

#include "app/record/record_lookup.hpp"
#include "mendtone/app/verb.hpp"
#include "mendtone/record/unreadable.hpp"
#include "mendtone/results/difference.hpp"
#include "mendtone/results/image.hpp"
#include "mendtone/results/tissue.hpp"
#include "mendtone/results/tone.hpp"
#include "mendtone/results/wash.hpp"

namespace mendtone::app {
namespace {

using record::Link;
using record::Store;

/// What a request is about, by the names that the person gave.
struct About {
  std::vector<std::string> names;
  std::string reading;                   ///< which of the readings; empty: all
  std::vector<std::string> photographs;  ///< names of them
};

void add_places(About& about, const std::vector<std::string>& regions) {
  for (const std::string& text : regions) about.names.push_back(text.substr(text.find('=') + 1));
}

About about_request(const std::string& verb, const results::Value& request) {
  if (verb == "tissue") {
    const auto& asked = request.as<results::TissueRequest>();
    return {{asked.target}, asked.target_name, {}};
  }
  if (verb == "wash") {
    const auto& asked = request.as<results::WashRequest>();
    return {{asked.target}, asked.target_name, {}};
  }
  if (verb == "correct") {
    const auto& asked = request.as<results::CorrectRequest>();
    return {{asked.recipe_file}, {}, {}};
  }
  if (verb == "tone") return {request.as<results::ToneRequest>().sources.files, {}, {}};
  if (verb == "difference") {
    const auto& asked = request.as<results::DifferenceRequest>();
    About both{asked.before.files, {}, {}};
    both.names.insert(both.names.end(), asked.after.files.begin(), asked.after.files.end());
    return both;
  }
  About pictures;
  if (verb == "image-check")
    pictures.photographs = {request.as<results::ImageCheckRequest>().photo.file};
  if (verb == "image-change") {
    const auto& asked = request.as<results::ImageChangeRequest>();
    pictures.photographs = {asked.before.file, asked.after.file};
  }
  if (verb == "image-tone") {
    const auto& asked = request.as<results::ImageToneRequest>();
    pictures.photographs = {asked.photo.file};
    add_places(pictures, asked.losses);
  }
  return pictures;
}

Result<Owner> of_loss(const Store& store, Link loss) {
  if (!loss) return Owner{};
  auto kept = record::get<record::Loss>(store, *loss);
  if (!kept) return kept.error();
  return Owner{kept->value.sheet, loss};
}

Result<Owner> of_trial(const Store& store, record::Id id) {
  auto trial = record::get<record::Trial>(store, id);
  if (!trial) return trial.error();
  auto recipe = record::get<record::Recipe>(store, trial->value.recipe);
  if (!recipe) return recipe.error();
  if (recipe->value.loss || !recipe->value.computation) return of_loss(store, recipe->value.loss);
  auto computed = record::get<record::Computation>(store, *recipe->value.computation);
  if (!computed) return computed.error();
  return Owner{computed->value.sheet, computed->value.loss};
}

Result<Owner> of_reading(const Store& store, const record::KeptReading& reading) {
  if (reading.trial) return of_trial(store, *reading.trial);
  Owner owner{reading.sheet, reading.loss};
  if (owner.loss && !owner.sheet) return of_loss(store, owner.loss);
  return owner;
}

/// What all of them share.
class Shared {
 public:
  void add(const Owner& one) {
    if (!owner_) {
      owner_ = one;
      return;
    }
    if (owner_->sheet != one.sheet) owner_->sheet.reset();
    if (owner_->loss != one.loss) owner_->loss.reset();
  }
  Owner owner() const {
    if (!owner_) return {};
    return owner_->sheet ? *owner_ : Owner{};
  }

 private:
  std::optional<Owner> owner_;
};

/// True where the bytes that were computed from are what the record keeps under that name.
bool is_from_record(const Store& store, const std::string& name, const Inputs& inputs) {
  const auto noted = inputs.find(name);
  if (noted == inputs.end()) return false;
  const auto kept = kept_under(store, name);
  return kept && *kept && **kept == noted->second;
}

Result<void> add_readings_named(const Store& store, const std::string& name,
                                const std::string& reading, Shared& shared) {
  auto readings = readings_named(store, name);
  if (!readings) return readings.error();
  for (const auto& kept : *readings) {
    if (!reading.empty() && kept.value.reading.name != reading) continue;
    auto owner = of_reading(store, kept.value);
    if (!owner) return owner.error();
    shared.add(*owner);
  }
  if (!readings->empty()) return {};
  std::vector<record::Unreadable> left_out;
  auto computed = record::current<record::Computation>(
      store, {{{"name", record::Cell{name}}}, false}, left_out);
  if (!computed) return computed.error();
  if (!computed->empty()) shared.add({computed->back().value.sheet, computed->back().value.loss});
  return {};
}

Result<record::Link> link_to(const record::Store& store, const char* kind, const std::string& name,
                             record::Link sheet = {}) {
  if (name.empty()) return record::Link();
  auto id = find_thing(store, kind, name, sheet);
  if (!id) return id.error();
  return record::Link(*id);
}

}  // namespace

Result<Owner> stated_owner(const record::Store& store, const Keeping& keeping) {
  auto sheet = link_to(store, "sheet", keeping.sheet);
  if (!sheet) return sheet.error();
  auto loss = link_to(store, "loss", keeping.loss, *sheet);
  if (!loss) return loss.error();
  Owner owner{*sheet, *loss};
  if (!owner.loss) return owner;
  auto kept = record::get<record::Loss>(store, *owner.loss);
  if (!kept) return kept.error();
  if (owner.sheet && *owner.sheet != kept->value.sheet)
    return bad_request("this loss is on another sheet than '" + keeping.sheet + "'", keeping.loss);
  owner.sheet = kept->value.sheet;
  return owner;
}

Result<Owner> owner_of(const Store& store, const Computed& computed) {
  const Verb* verb = find_verb(computed.verb);
  if (!verb) return Owner{};
  results::Value request = results::fresh(*verb->request);
  if (!results::from_json(*verb->request, computed.parameters, computed.verb,
                          results::Reading::kept, request.data.get()))
    return Owner{};
  const About asked = about_request(computed.verb, request);
  Shared shared;
  for (const std::string& name : asked.names) {
    if (!is_from_record(store, name, computed.inputs)) {
      const auto loss = find_thing(store, "loss", name);  // a region that the record outlines
      if (asked.photographs.empty() || !loss) {
        shared.add({});
        continue;
      }
      auto owner = of_loss(store, *loss);
      if (!owner) return owner.error();
      shared.add(*owner);
      continue;
    }
    if (auto done = add_readings_named(store, name, asked.reading, shared); !done)
      return done.error();
  }
  if (!asked.names.empty()) return shared.owner();
  for (const std::string& name : asked.photographs) {
    const auto id = find_thing(store, "photograph", name);
    const auto photograph = id ? record::get<record::Photograph>(store, *id)
                               : Result<record::Kept<record::Photograph>>(id.error());
    shared.add(photograph ? Owner{photograph->value.sheet, {}} : Owner{});
  }
  return shared.owner();
}

Result<Owner> owner_named(const Store& store, const std::string& name,
                          const std::string& reading) {
  Shared shared;
  if (auto done = add_readings_named(store, name, reading, shared); !done) return done.error();
  return shared.owner();
}

}  // namespace mendtone::app
