#pragma once
#include <string>

#include "mendtone/report/content.hpp"
#include "mendtone/report/drawing.hpp"

namespace mendtone::report {

/// One self-contained HTML file: no outside address, well-formed as XML too. Valid HTML.
std::string to_html(const ReportContent& content);

/// A4 pages. `measure` tells the width of text in the font that will draw them.
PagedReport to_pages(const ReportContent& content, const TextMeasure& measure);

/// Every figure of the report, one a row: section, item, quantity, value, unit, light, observer,
/// low, high. RFC 4180.
std::string to_csv(const ReportContent& content);

/// The same figures and words with their structure; pictures by title and size only.
std::string to_json(const ReportContent& content);

}  // namespace mendtone::report
