#pragma once
#include "mendtone/report/content.hpp"

namespace mendtone::report::sample {

/// Invented content: the pilot chart of Kestrel Bay, a harbour that is not on any map. Every part
/// of a report is filled; figures are plausible, none was measured.
ReportContent kestrel_bay();

/// A mean and its sRGB by the sRGB formulas, good enough to look at.
Tone tone(double L, double a, double b);

}  // namespace mendtone::report::sample
