#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/report/content.hpp"
#include "mendtone/report/drawing.hpp"

namespace mendtone::report {

/// One self-contained HTML file: no outside address, well-formed as XML too. Valid HTML.
std::string to_html(const ReportContent& content);

/// A4 pages. `measure` tells the width of text in the font that will draw them.
PagedReport to_pages(const ReportContent& content, const TextMeasure& measure);

/// What became of one loss, or of one spot's colour: a line of a museum's own form.
struct Outcome {
  std::string what;  ///< the loss, the tear or the spot
  std::string done;  ///< "Kozo 12, 2 plies, with wheat-starch paste.", "before to after bath 3" …
  std::string basis;                      ///< "read", "predicted"; empty: no figure is known
  std::optional<double> de00, low, high;  ///< low and high: 95 %
  std::string light;
  int observer_deg = 0;
  std::string words;  ///< "lighter: just visible side by side"; empty where nothing is known
};

/// Each loss and tear, then each change under the first light.
std::vector<Outcome> outcomes(const ReportContent& content);

/// How it was measured and computed, as one paragraph to paste.
std::string methods_text(const ReportContent& content);

/// Every figure of the report, one a row: section, item, quantity, value, unit, light, observer,
/// low, high. RFC 4180.
std::string to_csv(const ReportContent& content);

/// The same figures and words with their structure; pictures by title and size only.
std::string to_json(const ReportContent& content);

}  // namespace mendtone::report
