#include "mendtone/app/tissue/drawer.hpp"

#include <map>

#include "app/inputs/json.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

Result<std::map<std::string, record::Tissue>> tissues_by_name(const std::string& path) {
  auto store = open_record(path, Opening::must_exist);
  if (!store) return store.error();
  auto tissues = record::current<record::Tissue>(**store);
  if (!tissues) return tissues.error();
  std::map<std::string, record::Tissue> by_name;
  for (auto& kept : *tissues) by_name[kept.value.name] = std::move(kept.value);
  return by_name;
}

std::string left_text(const InDrawer& one) {
  std::string text =
      one.left_cm2 ? fixed(*one.left_cm2, 0) + " cm2 left" : "amount left not stated";
  if (!one.enough) text += ": NOT ENOUGH";
  if (!one.place.empty()) text += ", in " + one.place;
  return text;
}

}  // namespace

Result<DrawerAnswer> drawer(const DrawerRequest& request, const Keeping& keeping) {
  TissueRequest asked = request.tissue;
  asked.tissues = {"drawer"};
  if (request.top > 0) asked.question.top = request.top;
  // Nearest over the backing: what margin and light sheet add to the order is for the choice.
  asked.question.weights.overlap = asked.question.weights.light_sheet = 0;
  auto known = tissues_by_name(keeping.record);
  if (!known) return known.error();
  auto ranking = kept(tissue, asked, keeping);
  if (!ranking) return ranking.error();
  DrawerAnswer answer{*std::move(ranking), {}};
  for (const TissueCandidate& candidate : answer.ranking.candidates) {
    InDrawer one{candidate.tissue, candidate.lot, "", {}, true};
    if (const auto at = known->find(candidate.tissue); at != known->end()) {
      one.place = at->second.place;
      one.left_cm2 = at->second.left_cm2;
      if (one.lot.empty()) one.lot = at->second.lot;
    }
    // Plies are cut from the same leftover.
    if (request.needs_cm2 && one.left_cm2)
      one.enough = *one.left_cm2 >= *request.needs_cm2 * candidate.plies;
    answer.drawer.push_back(std::move(one));
  }
  return answer;
}

std::string to_text(const DrawerAnswer& answer) {
  std::string text = "In the drawer, the nearest first:\n";
  for (std::size_t i = 0; i < answer.drawer.size(); ++i) {
    const TissueCandidate& candidate = answer.ranking.candidates[i];
    text += "  " + candidate.tissue + ", " +
            counted(static_cast<std::size_t>(candidate.plies), "ply", "plies") + ": " +
            fixed(candidate.de00, 2) + " DeltaE00; " + left_text(answer.drawer[i]) + "\n";
  }
  return text + "\n" + to_text(answer.ranking);
}

std::string to_json(const DrawerAnswer& answer) {
  Json json = json_of_ours(to_json(answer.ranking));
  json["schema"] = "mendtone.record.drawer";
  for (std::size_t i = 0; i < answer.drawer.size(); ++i) {
    const InDrawer& one = answer.drawer[i];
    json["candidates"][i]["left_cm2"] = or_null(one.left_cm2);
    json["candidates"][i]["enough"] = one.enough;
    json["candidates"][i]["place"] = one.place;
  }
  return written(json);
}

std::string to_csv(const DrawerAnswer& answer) {
  std::string text = csv_line({"tissue", "lot", "plies", "de00", "left_cm2", "enough", "place"});
  for (std::size_t i = 0; i < answer.drawer.size(); ++i) {
    const TissueCandidate& candidate = answer.ranking.candidates[i];
    const InDrawer& one = answer.drawer[i];
    text += csv_line({one.tissue, one.lot, std::to_string(candidate.plies),
                      shortest(candidate.de00), one.left_cm2 ? shortest(*one.left_cm2) : "",
                      one.enough ? "yes" : "no", one.place});
  }
  return text;
}

}  // namespace mendtone::app
