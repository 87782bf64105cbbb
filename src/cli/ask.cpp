#include "cli/ask.hpp"

#include <iostream>
#include <string>

#include "mendtone/app/record/record.hpp"
#include "mendtone/app/record/shown_over.hpp"

namespace mendtone::cli {
namespace {

/// A number of the list, or a name in it; nothing after a blank line or the end.
std::string chosen_from(std::istream& person, const std::vector<std::string>& names) {
  std::string typed;
  while (std::getline(person, typed)) {
    if (typed.empty()) return {};
    for (std::size_t i = 0; i < names.size(); ++i)
      if (typed == names[i] || typed == std::to_string(i + 1)) return names[i];
    std::cerr << "There is no '" << typed << "' among them. Type a number or a name: ";
  }
  return {};
}

}  // namespace

Result<void> ask_what_lies_behind(std::istream* person, const app::Verb& verb,
                                  const results::Value& request, const app::Keeping& keeping) {
  if (person == nullptr) return {};
  const auto known = app::shown_over(verb, request, keeping);
  if (!known || known->sheet.empty() || !known->over.empty()) return {};  // refused later, or known
  const auto names = MENDTONE_TRY(app::backings_to_choose(keeping.record));
  if (names.empty()) return {};
  std::cerr << "What lies behind the sheet '" << known->sheet << "' when it is shown?\n";
  for (std::size_t i = 0; i < names.size(); ++i)
    std::cerr << "  " << i + 1 << "  " << names[i] << '\n';
  std::cerr << "Number or name (it is kept with the sheet): ";
  const std::string over = chosen_from(*person, names);
  if (over.empty()) return {};
  record::Entry entry = keeping.entry;
  entry.why = "what lies behind it when it is shown";
  const auto kept = app::record_keep(
      {keeping.record, entry, "sheet", {{"shown_over", over}}, "#" + std::to_string(*known->id)});
  if (!kept) return kept.error();
  std::cerr << "mendtone: kept with the sheet '" << known->sheet << "': shown over '" << over
            << "'\n";
  return {};
}

}  // namespace mendtone::cli
