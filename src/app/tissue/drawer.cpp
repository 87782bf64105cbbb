#include "mendtone/app/tissue/drawer.hpp"

#include <map>

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

DrawerAndKept drawer(const DrawerRequest& request, const Keeping& keeping) {
  TissueRequest asked = request.tissue;
  asked.tissues = {"drawer"};
  if (request.top > 0) asked.question.top = request.top;
  // Nearest over the backing: what margin and light sheet add to the order is for the choice.
  asked.question.weights.overlap = asked.question.weights.light_sheet = 0;
  auto known = tissues_by_name(keeping.record);
  if (!known) return {known.error()};
  auto ranking = answered_and_kept(*find_verb("tissue"), results::value_of(asked), keeping);
  if (!ranking.answer) return {ranking.answer.error()};
  DrawerAnswer answer{ranking.answer->as<TissueAnswer>(), {}};
  for (const TissueCandidate& candidate : answer.ranking.candidates) {
    InDrawer one{candidate, "", {}, true};
    if (const auto at = known->find(candidate.tissue); at != known->end()) {
      one.place = at->second.place;
      one.left_cm2 = at->second.left_cm2;
      if (one.candidate.lot.empty()) one.candidate.lot = at->second.lot;
    }
    // Plies are cut from the same leftover.
    if (request.needs_cm2 && one.left_cm2)
      one.enough = *one.left_cm2 >= *request.needs_cm2 * candidate.plies;
    answer.drawer.push_back(std::move(one));
  }
  return {std::move(answer), std::move(ranking.kept)};
}

std::string to_text(const DrawerAnswer& answer) {
  std::string text = "In the drawer, the nearest first:\n";
  for (const InDrawer& one : answer.drawer)
    text += "  " + one.candidate.tissue + ", " +
            counted(static_cast<std::size_t>(one.candidate.plies), "ply", "plies") + ": " +
            fixed(one.candidate.de00, 2) + " DeltaE00; " + left_text(one) + "\n";
  return text + "\n" + to_text(answer.ranking);
}

}  // namespace mendtone::app
