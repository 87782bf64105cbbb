#include "mendtone/app/record/shown_over.hpp"

#include "app/inputs/text.hpp"
#include "app/record/owner.hpp"
#include "app/record/record_lookup.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/materials/backings.hpp"
#include "mendtone/record/unreadable.hpp"
#include "mendtone/results/tissue.hpp"
#include "mendtone/results/wash.hpp"

namespace mendtone::app {
namespace {

/// Calls `work` with the request as what it is; other verbs have nothing that lies behind.
template <class Request, class Work>
bool if_about(const Verb& verb, const char* name, const results::Value& request, Work work) {
  if (verb.name != name) return false;
  work(request.as<Request>());
  return true;
}

struct Place {
  std::string target, spot, over;
};

/// What is asked about, and what is said to lie behind; nothing for other verbs.
std::optional<Place> place_in(const Verb& verb, const results::Value& request) {
  std::optional<Place> place;
  const auto take = [&](const auto& asked) {
    place = Place{asked.target, asked.target_name, asked.over};
  };
  if (!if_about<results::TissueRequest>(verb, "tissue", request, take))
    if_about<results::WashRequest>(verb, "wash", request, take);
  return place;
}

/// The sheet that is stated, else that of the readings; nothing for a file's.
Result<record::Link> sheet_asked_about(const record::Store& store, const Place& place,
                                       const Keeping& keeping) {
  auto stated = stated_owner(store, keeping);
  if (!stated) return stated.error();
  if (stated->sheet) return stated->sheet;
  if (is_file(place.target, InputPlace(keeping.record))) return record::Link();
  auto owner = owner_named(store, place.target, place.spot);
  if (!owner) return owner.error();
  return owner->sheet;
}

}  // namespace

Result<ShownOver> shown_over(const Verb& verb, const results::Value& request,
                             const Keeping& keeping) {
  const auto place = place_in(verb, request);
  if (keeping.record.empty() || !place || !place->over.empty()) return ShownOver{};
  auto store = open_record(keeping.record, Opening::must_exist);
  if (!store) return store.error();
  auto sheet = sheet_asked_about(**store, *place, keeping);
  if (!sheet) return sheet.error();
  if (!*sheet) return ShownOver{};
  auto kept = record::get<record::Sheet>(**store, **sheet);
  if (!kept) return kept.error();
  return ShownOver{kept->value.name, *sheet, kept->value.shown_over};
}

results::Value with_over(const Verb& verb, const results::Value& request, const std::string& over) {
  results::Value made;
  const auto put = [&](auto asked) {
    asked.over = over;
    made = results::value_of(std::move(asked));
  };
  if (!if_about<results::TissueRequest>(verb, "tissue", request, put) &&
      !if_about<results::WashRequest>(verb, "wash", request, put))
    return request;
  return made;
}

void say_where_from(const Verb& verb, results::Value& answer, const ShownOver& taken) {
  if (taken.over.empty()) return;
  const std::string words = "as the record keeps it of the sheet '" + taken.sheet + "'";
  if (verb.name == "tissue") answer.as<results::TissueAnswer>().over_from = words;
  if (verb.name == "wash") answer.as<results::WashAnswer>().problem.over_from = words;
}

Error explained(Error refused, const ShownOver& kept, const std::string& record) {
  if (refused.where != "--over" || kept.sheet.empty()) return refused;
  if (!kept.over.empty()) {
    refused.message += " ('" + kept.over + "' is what the record keeps of the sheet '" +
                       kept.sheet + "' as shown over)";
    return refused;
  }
  refused.message =
      "nobody has said yet what lies behind the sheet '" + kept.sheet +
      "' when it is shown. Give --over NAME, or keep it with the sheet once: mendtone "
      "record correct sheet SHEET --set shown_over=NAME --why REASON";
  auto names = backings_to_choose(record);
  if (names)
    for (std::string& name : *names) name = "'" + name + "'";  // which may hold a comma
  if (names && !names->empty()) refused.message += ". Backings that were read: " + listed(*names);
  return refused;
}

Result<std::vector<std::string>> backings_to_choose(const std::string& record) {
  auto store = open_record(record, Opening::must_exist);
  if (!store) return store.error();
  auto kept = record::all_readable<record::KeptReading>(**store);
  if (!kept) return kept.error();
  std::vector<Reading> readings;
  for (const auto& one : *kept) readings.push_back(one.value.reading);
  const auto backings = Backings::from(readings);
  if (!backings) return backings.error();
  return backings->names_behind(false);
}

}  // namespace mendtone::app
