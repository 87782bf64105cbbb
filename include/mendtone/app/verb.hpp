#pragma once
#include <functional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/results/walk.hpp"
#include "mendtone/spectral/reading.hpp"

namespace mendtone::app {

/// One thing that the program computes. The command line, the record, recheck and the page all walk
/// the list of these; nothing else knows which there are.
struct Verb {
  std::string_view name;  ///< "image-change": on the command line `image change`
  std::string_view help;
  const results::Type* request = nullptr;
  const results::Type* answer = nullptr;
  std::function<Result<results::Value>(const results::Value& request, const InputPlace&)> compute;
  std::function<std::string(const results::Value& answer)> text;
  /// False (exit 5): no match within the tolerance, or not decidable.
  std::function<bool(const results::Value& answer)> answered;
  std::vector<std::string_view> examples;  ///< without the program's own name
  /// The CSV of an answer; by default the table of its type.
  std::function<std::string(const results::Value& answer)> csv;
  bool kept = true;  ///< its results can be kept in a record
  /// The readings that the request names, for formats that hold readings and no answers; may be
  /// empty.
  std::function<Result<std::vector<Reading>>(const results::Value& request, const InputPlace&)>
      readings{};
};

/// A verb of these types. `use_case` takes values and where names are looked up.
template <class Request, class Answer>
Verb verb(std::string_view name, std::string_view help,
          Result<Answer> (*use_case)(const Request&, const InputPlace&),
          std::string (*text)(const Answer&), bool (*answered)(const Answer&),
          std::vector<std::string_view> examples) {
  return {name,
          help,
          &results::type_of<Request>(),
          &results::type_of<Answer>(),
          [use_case](const results::Value& request,
                     const InputPlace& place) -> Result<results::Value> {
            auto answer = use_case(request.as<Request>(), place);
            if (!answer) return answer.error();
            return results::value_of(*std::move(answer));
          },
          [text](const results::Value& answer) { return text(answer.as<Answer>()); },
          [answered](const results::Value& answer) { return answered(answer.as<Answer>()); },
          std::move(examples),
          [](const results::Value& answer) {
            return results::to_csv(*answer.type, answer.data.get());
          }};
}

/// Every verb, in the order of a conservator's day.
std::span<const Verb> verbs();
/// nullptr: there is none of that name.
const Verb* find_verb(std::string_view name);

}  // namespace mendtone::app
