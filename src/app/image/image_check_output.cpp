#include "app/image/image_statement.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/app/image/image_check.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::app {
namespace {

std::string cell(const std::string& text, std::size_t width) {
  return std::string(width > text.size() ? width - text.size() : 1, ' ') + text;
}

std::string patch_table(const ImageCheckAnswer& answer) {
  std::string text = padded("patch", 16) +
                     "  measured L*      a*      b*   reference L*      a*      "
                     "b*    DE00     dL*     da*     db*\n";
  for (std::size_t i = 0; i < answer.patches.size(); ++i) {
    const results::CheckedPatch& p = answer.patches[i];
    text += padded(p.name, 16) + cell(fixed(p.measured.L, 2), 13) +
            cell(fixed_signed(p.measured.a, 2), 8) + cell(fixed_signed(p.measured.b, 2), 8) +
            cell(fixed(p.reference.L, 2), 15) + cell(fixed_signed(p.reference.a, 2), 8) +
            cell(fixed_signed(p.reference.b, 2), 8) + cell(fixed(p.de00, 2), 8) +
            cell(fixed_signed(p.dL, 2), 8) + cell(fixed_signed(p.da, 2), 8) +
            cell(fixed_signed(p.db, 2), 8) + "\n";
  }
  return text;
}

std::string tolerance_text(const ImageCheckAnswer& answer) {
  std::string text =
      padded("published tolerance", 26) + padded("of", 24) + "   limit   found   within\n";
  for (const ToleranceRow& r : answer.tolerances)
    text += padded(r.standard, 26) + padded(r.criterion, 24) +
            cell((r.limit_included ? "<= " : "< ") + fixed(r.limit, 1), 8) + cell(fixed(r.found, 2), 8) +
            cell(r.within ? "yes" : "no", 9) + "\n";
  return text;
}

std::string flat_text(const results::FlatField& flat) {
  std::string text = to_text(flat.photo, "Even card  ");
  for (std::size_t i = 0; i < 25; ++i)
    text += cell(fixed(flat.L[i], 2), 8) + (i % 5 == 4 ? "\n" : "");
  return text + "  L* over the field varies by " + fixed(flat.range_dL, 2) +
         "; a*, b* by at most " + fixed(flat.largest_da_db, 2) + ". " + flat.limit_why +
         "\n";
}

}  // namespace

std::string to_text(const ImageCheckAnswer& answer) {
  const ImageCheckAnswer& f = answer;
  std::string text = "Colour target in a photograph: CIELAB under " +
                     std::string(image_conditions) + "; DeltaE00 is CIEDE2000\n" +
                     to_text(answer.photo, "Photograph  ") + "\n" + patch_table(answer) + "\n";
  text += "DeltaE00 over " + counted(answer.patches.size(), "patch", "patches") + ": mean " +
          fixed(f.mean_de00, 2) + ", 90th percentile " + fixed(f.p90_de00, 2) + ", largest " +
          fixed(f.max_de00, 2) + " (" + f.worst_patch + ")\n";
  if (f.neutrals > 0)
    text += "White balance on " + counted(f.neutrals, "neutral patch", "neutral patches") +
            " (reference C* at most 3): mean " + fixed(*f.balance_mean, 2) + ", largest " +
            fixed(*f.balance_max, 2) + " in a*, b*\n";
  else
    text += "White balance: no patch is neutral (reference C* at most 3)\n";
  text += "Lightness: " + fixed_signed(f.mean_dL, 2) +
          " on average; its error changes across the target by " + fixed(f.tilt_dL, 2) + " L*\n\n";
  text += tolerance_text(answer) + answer.caution + "\n\n";
  if (answer.flat) text += flat_text(*answer.flat) + "\n";
  for (const results::TriedCorrection& tried : answer.corrections) {
    const CorrectionFit& c = tried.fit;
    text += "Correction by " + std::string(name_of(c.correction.kind)) +
            " in linear light: " + fixed(c.fitted_mean_de00, 2) +
            " on the patches it was fitted to, " + fixed(c.unseen_mean_de00, 2) +
            " on patches left out (90th percentile " + fixed(c.unseen_p90_de00, 2) + ", largest " +
            fixed(c.unseen_max_de00, 2) + ")\n";
  }
  text += answer.correction_advice + "\n";
  if (!answer.kept.empty()) text += "Kept: " + answer.kept + "\n";
  for (const std::string& warning : answer.warnings) text += "! " + warning + "\n";
  return text;
}

}  // namespace mendtone::app
