#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/record/values.hpp"

namespace mendtone::app {

struct ToneRequest;
struct DifferenceRequest;
struct TissueRequest;
struct ColorantRequest;
struct SwatchRequest;
struct WashRequest;
struct CorrectRequest;
struct ImageCheckRequest;
struct ImageToneRequest;
struct ImageChangeRequest;

/// Where a computed result goes; an empty `record`: nowhere.
struct Keeping {
  std::string record;
  record::Entry entry;
  std::string name;         ///< what it is called; may be empty
  std::string sheet, loss;  ///< names of what it belongs to; may be empty
};

/// A result and all that is needed to compute it again.
struct Computed {
  std::string verb, parameters, result;
  bool answered = false;
  Inputs inputs;
};

/// Keeps a result with its inputs' bytes, and the hashes of the reference tables.
Result<record::Id> keep_computation(const Keeping& keeping, const Computed& computed);

/// The use-case of that verb, its parameters as `parameters_of` writes them, its inputs from
/// `place`. Refuses a verb that this program does not know and parameters that it does not
/// understand.
Result<Computed> compute(const std::string& verb, const std::string& parameters,
                         const InputPlace& place);

/// The same of "image-change", which also draws its maps: MAPS-de00.png, -dL, -da, -db.
Result<Computed> compute_with_maps(const std::string& parameters, const InputPlace& place,
                                   const std::string& maps);

/// {reference table: sha256} of what is compiled in, as JSON.
std::string reference_table_hashes();

/// Of every request that can be kept: its verb, its parameters as JSON, and the place that its
/// inputs come from.
#define MENDTONE_KEPT_REQUEST(Request)       \
  std::string_view verb_of(const Request&);  \
  std::string parameters_of(const Request&); \
  void set_place(Request&, const InputPlace&);
MENDTONE_KEPT_REQUEST(ToneRequest)
MENDTONE_KEPT_REQUEST(DifferenceRequest)
MENDTONE_KEPT_REQUEST(TissueRequest)
MENDTONE_KEPT_REQUEST(ColorantRequest)
MENDTONE_KEPT_REQUEST(SwatchRequest)
MENDTONE_KEPT_REQUEST(WashRequest)
MENDTONE_KEPT_REQUEST(CorrectRequest)
MENDTONE_KEPT_REQUEST(ImageCheckRequest)
MENDTONE_KEPT_REQUEST(ImageToneRequest)
MENDTONE_KEPT_REQUEST(ImageChangeRequest)
#undef MENDTONE_KEPT_REQUEST

/// An answer, and what became of it in the record: an answer that could not be kept is still one.
template <class Answer>
struct AndKept {
  Result<Answer> answer;
  Result<record::Link> kept = record::Link();  ///< nothing where no record was named
};

/// Runs a use-case; where there is a record, its answer is kept there with the very bytes that it
/// was computed from.
template <class Request, class Answer>
AndKept<Answer> answered_and_kept(Result<Answer> (*use_case)(const Request&), Request request,
                                  const Keeping& keeping) {
  if (keeping.record.empty()) return {use_case(request)};
  InputPlace place(keeping.record);
  place.noted = std::make_shared<Inputs>();
  set_place(request, place);
  auto answer = use_case(request);
  if (!answer) return {std::move(answer)};
  auto id = keep_computation(keeping, {std::string(verb_of(request)), parameters_of(request),
                                       to_json(*answer), has_answer(*answer), *place.noted});
  if (!id) return {std::move(answer), id.error()};
  return {std::move(answer), record::Link(*id)};
}

/// The same where an answer that could not be kept is none.
template <class Request, class Answer>
Result<Answer> kept(Result<Answer> (*use_case)(const Request&), Request request,
                    const Keeping& keeping) {
  auto both = answered_and_kept(use_case, std::move(request), keeping);
  if (both.answer && !both.kept) return both.kept.error();
  return std::move(both.answer);
}

}  // namespace mendtone::app
