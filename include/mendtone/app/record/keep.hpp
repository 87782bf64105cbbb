#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/app/verb.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/record/values.hpp"

namespace mendtone::app {


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

/// An answer, and what became of it in the record: an answer that could not be kept is still one.
struct AndKept {
  Result<results::Value> answer;
  Result<record::Link> kept = record::Link();  ///< nothing where no record was named
};

/// Runs a verb; where there is a record, its answer is kept there with the very bytes that it was
/// computed from.
AndKept answered_and_kept(const Verb& verb, const results::Value& request, const Keeping& keeping);
/// The same where an answer that could not be kept is none.
Result<results::Value> kept(const Verb& verb, const results::Value& request,
                            const Keeping& keeping);

/// The same with its types.
template <class Request, class Answer>
Result<Answer> kept(Result<Answer> (*use_case)(const Request&, const InputPlace&),
                    const Request& request, const Keeping& keeping) {
  for (const Verb& verb : verbs())
    if (verb.request == &results::type_of<Request>()) {
      auto answer = kept(verb, results::value_of(request), keeping);
      if (!answer) return answer.error();
      return answer->template as<Answer>();
    }
  return use_case(request, InputPlace(keeping.record));
}

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

}  // namespace mendtone::app
