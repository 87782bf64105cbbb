#include "app/inputs/json.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/app/record/recheck.hpp"

namespace mendtone::app {

std::string to_text(const RecheckAnswer& answer) {
  std::string text = "Rechecked " + answer.record + ": " +
                     counted(answer.results, "computed result", "computed results") + ", " +
                     counted(answer.figures, "figure", "figures") + ", " +
                     counted(answer.kept_files, "imported file", "imported files") + " with " +
                     counted(answer.readings, "reading", "readings") + ", " +
                     counted(answer.means, "mean", "means") + ", " +
                     counted(answer.photographs, "photograph", "photographs") + "\n";
  for (const std::string& fault : answer.file_faults) text += "! the file: " + fault + "\n";
  for (const std::string& fault : answer.broken_seals) text += "! the seals: " + fault + "\n";
  for (const auto& [head, words] : answer.unmet_heads)
    text += "! head " + head + ": " + words + "\n";
  for (const std::string& head : answer.met_heads)
    text += "  head " + head + ": fits; nothing before it was changed\n";
  for (const Disagreement& one : answer.disagreements)
    text += "! " + one.what + (one.where.empty() ? "" : ", " + one.where) + ": kept " + one.kept +
            ", now " + one.now + "\n";
  for (const std::string& note : answer.notes) text += "  " + note + "\n";
  text += "  " + std::to_string(answer.entries) + " entries, sealed one by the next";
  if (answer.as_found > 0)
    text += ", the first " + std::to_string(answer.as_found) + " as they were found";
  text += "\n  head " + answer.head + "\n";
  return text +
         (has_answer(answer) ? "Everything agrees.\n" : "What is marked ! no longer agrees.\n");
}

std::string to_json(const RecheckAnswer& answer) {
  Json json = document("record.recheck");
  json["record"] = answer.record;
  json["agrees"] = has_answer(answer);
  json["results"] = answer.results;
  json["figures"] = answer.figures;
  json["imported_files"] = answer.kept_files;
  json["readings"] = answer.readings;
  json["means"] = answer.means;
  json["photographs"] = answer.photographs;
  json["file_faults"] = answer.file_faults;
  json["head"] = answer.head;
  json["entries"] = answer.entries;
  json["entries_sealed_as_found"] = answer.as_found;
  json["broken_seals"] = answer.broken_seals;
  Json heads = Json::array();
  for (const std::string& head : answer.met_heads)
    heads.push_back({{"head", head}, {"fits", true}, {"meaning", ""}});
  for (const auto& [head, words] : answer.unmet_heads)
    heads.push_back({{"head", head}, {"fits", false}, {"meaning", words}});
  json["heads"] = std::move(heads);
  Json list = Json::array();
  for (const Disagreement& one : answer.disagreements)
    list.push_back(
        {{"what", one.what}, {"where", one.where}, {"kept", one.kept}, {"now", one.now}});
  json["disagreements"] = std::move(list);
  json["notes"] = answer.notes;
  return written(json);
}

std::string to_csv(const RecheckAnswer& answer) {
  std::string text = csv_line({"what", "where", "kept", "now"});
  for (const std::string& fault : answer.file_faults) text += csv_line({"file", "", "", fault});
  for (const std::string& fault : answer.broken_seals) text += csv_line({"seals", "", "", fault});
  for (const auto& [head, words] : answer.unmet_heads) text += csv_line({"head", "", head, words});
  for (const Disagreement& one : answer.disagreements)
    text += csv_line({one.what, one.where, one.kept, one.now});
  return text;
}

}  // namespace mendtone::app
