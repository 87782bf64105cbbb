#pragma once
#include <string>
#include <string_view>

#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/app/report/report.hpp"
#include "mendtone/formats/read.hpp"
#include "mendtone/record/store.hpp"
#include "mendtone/results/difference.hpp"
#include "mendtone/results/image.hpp"

// How the report's content is gathered; each part adds to `content`.
namespace mendtone::app {

/// Pictures are shown this large at most: 200 dots an inch of half a page, and no more than a screen
/// shows.
inline constexpr int report_picture_px = 1100;
/// Change maps, of which four stand on a page.
inline constexpr int report_map_px = 640;

/// A result of another verb, as its JSON. `file` is for messages and for pictures beside it.
Result<void> add_result(report::ReportContent& content, std::string_view json,
                        const std::string& file, const ReportRequest& request);

/// Tones, regions and spectra of all names, as read at `stage`. A tone that a result gave before
/// is completed, not repeated.
Result<void> add_readings(report::ReportContent& content, const ReadFile& file,
                          const std::string& stage, const Viewing& viewing);

/// A photograph, made small. One that cannot be read goes to `content.unknowns` with the reason.
/// How many of its pixels one of the picture's stands for; nothing where it is not shown.
std::optional<double> add_picture(report::ReportContent& content, const std::string& path,
                                  const std::string& kind, const std::string& title,
                                  const std::string& caption);
/// The change maps of a result, as far as their files are there and are those that it wrote.
void add_change_maps(report::ReportContent& content, const results::ImageChangeAnswer& answer,
                     const std::string& file);

/// Everything of one sheet. `sheet` is its name, or its object identifier.
Result<void> add_record(report::ReportContent& content, const std::string& path,
                        const std::string& sheet, const Viewing& viewing,
                        const ReportRequest& request);

/// The reading of that spot, stage and light over that backing; made where it is not there yet. One
/// of which the backing was not said may be any.
report::Reading& reading_at(report::ReportContent& content, const std::string& spot,
                            const std::string& stage, const report::Tone& tone,
                            const std::string& backing = {});

/// Where the mean of `n` repeats lies.
std::optional<report::Region> region_in_words(const std::optional<MeanRegion>& region, int n);
/// Two stages of one spot, as the report tells them.
report::Difference difference_from(const results::Pair& pair, double tolerance_de00,
                                   const std::string& tolerance_origin, const std::string& from,
                                   const std::string& to);

// What the record keeps is read once, here; a result that cannot be understood is refused.

/// The figures of a fill that was decided on, from the one candidate of a ranking that is what was
/// entered: tissue, plies, use, side and what lies behind. False: there is none, or several.
Result<bool> add_fill_from_result(report::ReportContent& content, std::string_view json,
                                  const report::Fill& decided);
/// Recipe `number` of a wash or a correction; nothing where there is none.
Result<std::optional<report::RecipeCard>> recipe_in(std::string_view json, std::size_t number);
/// Everything of the sheet that was entered by hand, thing by thing.
void add_entered(report::ReportContent& content, const record::Store& store,
                 const record::WholeSheet& whole);
/// The facts of one thing, without those columns.
template <class T>
std::vector<report::Fact> facts_of(const record::Store& store, const record::Kept<T>& kept,
                                   const std::vector<std::string_view>& without = {});
/// A tissue toned by that recipe.
report::Fill toned_fill(const report::RecipeCard& card, const std::string& title,
                        const report::Fill& decided);
/// "kozo 12" or "kozo 12:3" means this fill.
bool is_named(const report::Fill& fill, const std::string& wanted);
/// The first `most` candidates of a ranking, those left out of which the report tells already.
Result<void> add_ranking(report::ReportContent& content, std::string_view json, std::size_t most,
                         const report::Fill& place);
/// What a correction learned from a trial, which its parameters name. False: not this trial.
Result<bool> learn_from_result(report::Trial& trial, std::string_view parameters,
                               std::string_view json);

}  // namespace mendtone::app
