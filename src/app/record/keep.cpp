#include "mendtone/app/record/keep.hpp"

#include <functional>

#include "app/record/owner.hpp"
#include "app/record/record_lookup.hpp"
#include "formats/json_gate.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/shown_over.hpp"
#include "mendtone/base/reference_data.hpp"
#include "mendtone/results/image.hpp"

namespace mendtone::app {
namespace {

using nlohmann::json;

std::string dumped(const json& value) {
  return value.dump(-1, ' ', false, json::error_handler_t::replace);
}

/// The lights that the result itself names, with their origins.
std::string lights_in(const std::string& result) {
  const auto parsed = json_from<json>(result);
  if (!parsed || !parsed->contains("lights")) return {};
  return dumped((*parsed)["lights"]);
}

/// A wrong name of a sheet or a loss is said before anything is computed.
Result<void> check_owner(const Keeping& keeping) {
  if (keeping.sheet.empty() && keeping.loss.empty()) return {};
  auto store = open_record(keeping.record, Opening::must_exist);
  if (!store) return store.error();
  auto owner = stated_owner(**store, keeping);
  if (!owner) return owner.error();
  return {};
}

Result<record::Id> keep_in(record::Store& store, const Keeping& keeping, const Computed& computed) {
  record::Computation kept;
  auto owner = stated_owner(store, keeping);
  if (!owner) return owner.error();
  if (keeping.loss.empty()) {
    auto found = owner_of(store, computed);
    if (!found) return found.error();
    if (!owner->sheet || owner->sheet == found->sheet) owner = found;
  }
  json inputs = json::array();
  for (const auto& [name, bytes] : computed.inputs) {
    auto hash = store.keep_bytes(bytes);
    if (!hash) return hash.error();
    inputs.push_back({{"name", name}, {"sha256", *hash}});
  }
  kept.name = keeping.name;
  kept.verb = computed.verb;
  kept.parameters = computed.parameters;
  kept.lights = lights_in(computed.result);
  kept.inputs = dumped(inputs);
  kept.tables = reference_table_hashes();
  kept.program = keeping.entry.program;
  kept.result = computed.result;
  kept.outcome = computed.answered ? "answered" : "no answer";
  kept.sheet = owner->sheet;
  kept.loss = owner->loss;
  return record::add(store, kept, keeping.entry);
}

Computed told(const Verb& verb, const results::Value& request, const results::Value& answer,
              const Inputs& inputs) {
  return {std::string(verb.name), results::to_parameters(*verb.request, request.data.get()),
          results::to_json(*verb.answer, answer.data.get()), verb.answered(answer), inputs};
}

/// Parses, runs. What a record keeps may be an older program's; what is asked now must be
/// understood whole.
Result<Computed> run(const Verb& verb, const std::string& parameters, InputPlace place,
                     const std::function<void(results::Value&)>& adjust = {}) {
  results::Value request = results::fresh(*verb.request);
  const auto reading = place.only ? results::Reading::kept : results::Reading::question;
  if (auto read = results::from_json(*verb.request, parameters, std::string(verb.name), reading,
                                     request.data.get());
      !read)
    return read.error();
  if (adjust) adjust(request);
  if (!place.noted) place.noted = std::make_shared<Inputs>();
  auto answer = verb.compute(request, place);
  if (!answer) return answer.error();
  return told(verb, request, *answer, *place.noted);
}

}  // namespace

AndKept answered_and_kept(const Verb& verb, const results::Value& given, const Keeping& keeping) {
  if (keeping.record.empty()) return {verb.compute(given, {})};
  if (auto sound = check_owner(keeping); !sound) return {sound.error()};
  const auto behind = shown_over(verb, given, keeping);
  if (!behind) return {behind.error()};
  const results::Value request =
      behind->over.empty() ? given : with_over(verb, given, behind->over);
  InputPlace place(keeping.record);
  place.noted = std::make_shared<Inputs>();
  place.today = keeping.entry.when;
  auto answer = verb.compute(request, place);
  if (!answer) return {explained(answer.error(), *behind, keeping.record)};
  say_where_from(verb, *answer, *behind);
  auto id = keep_computation(keeping, told(verb, request, *answer, *place.noted));
  if (!id) return {std::move(answer), id.error()};
  return {std::move(answer), record::Link(*id)};
}

Result<results::Value> kept(const Verb& verb, const results::Value& request,
                            const Keeping& keeping) {
  auto both = answered_and_kept(verb, request, keeping);
  if (both.answer && !both.kept) return both.kept.error();
  return std::move(both.answer);
}

std::string reference_table_hashes() {
  json hashes = json::object();
  for (std::string_view name : reference_table_names())
    hashes[std::string(name)] = sha256(*reference_table(name));
  return dumped(hashes);
}

Result<record::Id> keep_computation(const Keeping& keeping, const Computed& computed) {
  Result<record::Id> id = record::Id{0};
  auto done = in_record(keeping.record, [&](record::Store& store) -> Result<void> {
    id = keep_in(store, keeping, computed);
    if (!id) return id.error();
    return {};
  });
  if (!done) return done.error();
  return id;
}

Result<Computed> compute(const std::string& verb, const std::string& parameters,
                         const InputPlace& place) {
  const Verb* known = find_verb(verb);
  if (!known) return bad_input("this program cannot compute this", verb);
  return run(*known, parameters, place);
}

Result<Computed> compute_with_maps(const std::string& parameters, const InputPlace& place,
                                   const std::string& maps) {
  return run(*find_verb("image-change"), parameters, place, [&](results::Value& request) {
    request.as<results::ImageChangeRequest>().maps = maps;
  });
}

}  // namespace mendtone::app
