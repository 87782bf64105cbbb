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
  for (const results::HeadTold& one : answer.heads)
    text += one.fits ? "  head " + one.head + ": fits; nothing before it was changed\n"
                     : "! head " + one.head + ": " + one.meaning + "\n";
  for (const Disagreement& one : answer.disagreements)
    if (one.what != "file" && one.what != "seals" && one.what != "head")
      text += "! " + one.what + (one.where.empty() ? "" : ", " + one.where) + ": kept " + one.kept +
            ", now " + one.now + "\n";
  for (const results::MethodChanged& one : answer.method_changed)
    text += "  " + one.what + ": the method changed since: " + one.changed + "; " + one.where +
            ": kept " + one.kept + ", now " + one.now + "\n";
  for (const std::string& note : answer.notes) text += "  " + note + "\n";
  text += "  " + std::to_string(answer.entries) + " entries, sealed one by the next";
  if (answer.as_found > 0)
    text += ", the first " + std::to_string(answer.as_found) + " as they were found";
  text += "\n  head " + answer.head + "\n";
  return text +
         (!answer.agrees ? "What is marked ! no longer agrees.\n"
          : answer.method_changed.empty()
              ? "Everything agrees.\n"
              : "Nothing differs, but a method changed since.\n");
}

}  // namespace mendtone::app
