#pragma once
#include <string>
#include <vector>

#include "mendtone/report/content.hpp"

namespace mendtone::report {

/// How colour was measured and compared, in sentences ready for a treatment report: standards,
/// lights, observer, instruments, uncertainty, program.
std::string methods_paragraph(const ReportContent& content);

/// What the content does not hold and a reader would look for, after the content's own list.
std::vector<std::string> not_known(const ReportContent& content);

/// Every caution of the content, once; those of the chosen fill and recipe first.
std::vector<std::string> all_cautions(const ReportContent& content);

/// Every warning of readings and differences, once.
std::vector<std::string> all_warnings(const ReportContent& content);

}  // namespace mendtone::report
