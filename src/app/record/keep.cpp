#include "mendtone/app/record/keep.hpp"

#include <functional>
#include <type_traits>

#include "app/record/record_lookup.hpp"
#include "app/record/request_json.hpp"
#include "formats/json_gate.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/base/reference_data.hpp"

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

Result<record::Link> link_to(const record::Store& store, const char* kind, const std::string& name,
                             record::Link sheet = {}) {
  if (name.empty()) return record::Link();
  auto id = find_thing(store, kind, name, sheet);
  if (!id) return id.error();
  return record::Link(*id);
}

Result<record::Id> keep_in(record::Store& store, const Keeping& keeping, const Computed& computed) {
  record::Computation kept;
  auto sheet = link_to(store, "sheet", keeping.sheet);
  if (!sheet) return sheet.error();
  auto loss = link_to(store, "loss", keeping.loss, *sheet);
  if (!loss) return loss.error();
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
  kept.sheet = *sheet;
  kept.loss = *loss;
  return record::add(store, kept, keeping.entry);
}

/// The first of `asked` that did not come through into `understood`: a name or a word that this
/// program does not know, which must not become a default in silence.
std::string not_understood(const json& asked, const json& understood, const std::string& where) {
  if (asked.is_object() && understood.is_object()) {
    for (const auto& [key, value] : asked.items()) {
      const auto found = understood.find(key);
      if (found == understood.end()) return where + "/" + key;
      if (auto inside = not_understood(value, *found, where + "/" + key); !inside.empty())
        return inside;
    }
    return {};
  }
  if (asked.is_array() && understood.is_array() && asked.size() == understood.size()) {
    for (std::size_t i = 0; i < asked.size(); ++i)
      if (auto inside = not_understood(asked[i], understood[i], where + "/" + std::to_string(i));
          !inside.empty())
        return inside;
    return {};
  }
  return asked == understood ? std::string() : where;
}

/// Parses, runs.
template <class Request, class Answer>
Result<Computed> run(Result<Answer> (*use_case)(const Request&), const json& parameters,
                     InputPlace place,
                     const std::type_identity_t<std::function<void(Request&)>>& adjust = {}) {
  Request request;
  try {
    request = parameters.get<Request>();
  } catch (const json::exception& fault) {
    return bad_input(std::string("the parameters cannot be understood: ") + fault.what());
  }
  // What a record keeps may be an older program's; what is asked now must be understood whole.
  if (!place.only)
    if (const auto odd = not_understood(parameters, request, ""); !odd.empty())
      return bad_input("this parameter is not known, or does not take this value",
                       std::string(verb_of(request)) + " " + odd);
  if (!place.noted) place.noted = std::make_shared<Inputs>();
  set_place(request, place);
  if (adjust) adjust(request);
  auto answer = use_case(request);
  if (!answer) return answer.error();
  return Computed{std::string(verb_of(request)), parameters_of(request), to_json(*answer),
                  has_answer(*answer), *place.noted};
}

}  // namespace

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
  const auto document = json_from<json>(parameters, verb);
  if (!document) return document.error();
  const json& parsed = *document;
  if (verb == "tone") return run(tone, parsed, place);
  if (verb == "difference") return run(difference, parsed, place);
  if (verb == "tissue") return run(tissue, parsed, place);
  if (verb == "colorant") return run(colorant, parsed, place);
  if (verb == "swatch") return run(swatch, parsed, place);
  if (verb == "wash") return run(wash, parsed, place);
  if (verb == "correct") return run(correct, parsed, place);
  if (verb == "image-check") return run(image_check, parsed, place);
  if (verb == "image-tone") return run(image_tone, parsed, place);
  if (verb == "image-change") return run(image_change, parsed, place);
  return bad_input("this program cannot compute this", verb);
}

Result<Computed> compute_with_maps(const std::string& parameters, const InputPlace& place,
                                   const std::string& maps) {
  const auto parsed = json_from<json>(parameters, "image-change");
  if (!parsed) return parsed.error();
  return run(image_change, *parsed, place,
             [&](ImageChangeRequest& request) { request.maps = maps; });
}

#define MENDTONE_KEPT_AS(Request, verb)               \
  std::string_view verb_of(const Request&) {          \
    return verb;                                      \
  }                                                   \
  std::string parameters_of(const Request& request) { \
    return dumped(request);                           \
  }
MENDTONE_KEPT_AS(ToneRequest, "tone")
MENDTONE_KEPT_AS(DifferenceRequest, "difference")
MENDTONE_KEPT_AS(TissueRequest, "tissue")
MENDTONE_KEPT_AS(ColorantRequest, "colorant")
MENDTONE_KEPT_AS(SwatchRequest, "swatch")
MENDTONE_KEPT_AS(WashRequest, "wash")
MENDTONE_KEPT_AS(CorrectRequest, "correct")
MENDTONE_KEPT_AS(ImageCheckRequest, "image-check")
MENDTONE_KEPT_AS(ImageToneRequest, "image-tone")
MENDTONE_KEPT_AS(ImageChangeRequest, "image-change")
#undef MENDTONE_KEPT_AS

void set_place(ToneRequest& request, const InputPlace& place) {
  request.sources.record = place;
  request.viewing.record = place;
}

void set_place(DifferenceRequest& request, const InputPlace& place) {
  request.before.record = place;
  request.after.record = place;
  request.viewing.record = place;
}

void set_place(TissueRequest& request, const InputPlace& place) {
  request.record = place;
  request.question.viewing.record = place;
}

void set_place(ColorantRequest& request, const InputPlace& place) {
  request.sources.record = place;
}

void set_place(SwatchRequest& request, const InputPlace& place) {
  request.on.record = place;
  request.viewing.record = place;
}

void set_place(WashRequest& request, const InputPlace& place) {
  request.record = place;
  request.viewing.record = place;
}

void set_place(CorrectRequest& request, const InputPlace& place) {
  request.trials.record = place;
}

void set_place(ImageCheckRequest& request, const InputPlace& place) {
  request.photo.record = place;
  request.reference.record = place;
}

void set_place(ImageToneRequest& request, const InputPlace& place) {
  request.photo.record = place;
  request.compare.record = place;
}

void set_place(ImageChangeRequest& request, const InputPlace& place) {
  request.before.record = place;
  request.after.record = place;
}

}  // namespace mendtone::app
