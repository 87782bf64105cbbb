#pragma once
#include <pango/pangocairo.h>

#include "mendtone/adapters/pdf.hpp"

namespace mendtone {

/// A layout holding `utf8` on one line, in points. The caller unrefs it.
PangoLayout* one_line(const ReportFonts& fonts, std::string_view utf8, report::Face face,
                      double size_pt);

}  // namespace mendtone
