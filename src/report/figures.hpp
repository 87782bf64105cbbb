#pragma once
#include <optional>

#include "mendtone/report/story.hpp"

// Each figure with its caption and its words for who cannot see it; nothing where the content
// holds nothing to draw.
namespace mendtone::report {

/// Before and after of the spots that changed most, edge to edge; at most `most` in one strip.
std::optional<Figure> change_strip(const ReportContent& content, std::size_t most);
/// The photographs of the first page: the first and the last in even light.
std::vector<std::size_t> front_pictures(const ReportContent& content);
/// Those side by side, no higher than `highest`.
std::optional<Figure> front_figure(const ReportContent& content, double highest);
/// The fill in the outline of its loss, on the sheet's own tone.
std::optional<Figure> fill_in_place(const Fill& fill);
/// Fills considered, side by side on the sheet's tone; the best `most` of them.
std::optional<Figure> fill_strip(const ReportContent& content, std::size_t most);
/// Differences as dots with intervals on one CIEDE2000 scale, the tolerance a line across it.
std::optional<Figure> change_scale(const ReportContent& content);
/// Where each tone lies in a*b* and L*, with its 95 % region.
std::optional<Figure> regions(const ReportContent& content);
/// Spectra with the band of their repeats.
std::optional<Figure> spectra(const ReportContent& content);
/// All spots' change step by step, with pH and conductivity below.
std::optional<Figure> series_figure(const ReportContent& content);
/// A picture, with the outlines of the spots that were marked on it and their names beside it.
Figure picture_figure(const ReportContent& content, std::size_t index);
/// The change maps, each with what its colours mean and a scale bar.
std::optional<Figure> change_maps(const ReportContent& content);

/// The readings of one spot that `difference` compares; nullptr where a stage was not given.
struct Compared {
  const Reading* from = nullptr;
  const Reading* to = nullptr;
};
Compared compared(const ReportContent& content, const Difference& difference);
const Spot* spot_named(const ReportContent& content, std::string_view name);
/// Spots in order of appearance, each with its first and last stage.
std::vector<Compared> first_and_last(const ReportContent& content);

}  // namespace mendtone::report
