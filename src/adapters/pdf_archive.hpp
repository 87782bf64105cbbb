#pragma once
#include <string>

#include "mendtone/base/result.hpp"
#include "mendtone/report/drawing.hpp"

namespace mendtone {

/// What an archive looks for in a PDF and Cairo does not write, added to what it wrote: alternative
/// words of figures, the scope of table headings, language, XMP metadata, output intent,
/// identifier.
Result<std::string> archived(std::string pdf, const report::PagedReport& report);

}  // namespace mendtone
