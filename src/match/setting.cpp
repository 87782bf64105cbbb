#include "mendtone/match/setting.hpp"

#include <algorithm>

namespace mendtone {
namespace {

constexpr std::string_view use_names[] = {"loss", "tear", "lining"};

}  // namespace

std::string light_sheet_unknown(const Sheet& sheet) {
  if (sheet.body.empty()) return "the sheet was read over one backing only";
  if (std::find(sheet.opaque.begin(), sheet.opaque.end(), true) != sheet.opaque.end())
    return "the sheet reads the same over both backings: too opaque to tell";
  return {};
}

std::string_view name_of(Use use) {
  return use_names[static_cast<int>(use)];
}

std::optional<Use> use_from(std::string_view text) {
  for (Use use : {Use::loss, Use::tear, Use::lining})
    if (name_of(use) == text) return use;
  return std::nullopt;
}

Result<Setting> setting_for(Use use, Side side, const Sheet& sheet,
                            std::span<const double> backing) {
  if (side != Side::back && side != Side::front)
    return bad_request("expected the side on which the tissue lies, back or front", "--side");
  const std::size_t bands = sheet.grid.size();
  if (sheet.seen.size() != bands || backing.size() != bands ||
      (!sheet.body.empty() && sheet.body.size() != bands))
    return bad_input("the sheet and what lies behind it need one value at each of " +
                     std::to_string(bands) + " wavelengths; found " +
                     std::to_string(sheet.seen.size()) + " and " + std::to_string(backing.size()));
  Setting setting{sheet.grid, {backing.begin(), backing.end()}, {}, {}, {}, 0};
  if (use == Use::loss) return setting;
  if (use == Use::lining && side == Side::front)
    return bad_request("a lining lies behind the sheet; found side 'front'", "--side");
  setting.light_sheet_unknown = light_sheet_unknown(sheet);
  if (side == Side::front) {
    setting.below = sheet.seen;
    setting.beneath = sheet.body;
    return setting;
  }
  if (sheet.body.empty())
    return bad_input(
        "tissue behind the sheet needs the sheet read over two backings; it was read "
        "over one (tissue on the front does not need the second)");
  setting.above = sheet.body;
  return setting;
}

namespace {

Result<void> check_bands(const Setting& setting, std::span<const Slab> fill) {
  const std::size_t bands = setting.below.size();
  const auto fits = [&](const std::vector<Slab>& layer) {
    return layer.empty() || layer.size() == bands;
  };
  if (fill.size() == bands && fits(setting.above) && fits(setting.beneath)) return {};
  return bad_input("the fill and its place need one value at each of " + std::to_string(bands) +
                   " wavelengths; found " + std::to_string(fill.size()));
}

}  // namespace

Result<std::vector<double>> seen(const Setting& setting, std::span<const Slab> fill) {
  MENDTONE_TRY(check_bands(setting, fill));
  return seen_unchecked(setting, fill);
}

Result<std::vector<double>> shone_through(const Setting& setting, std::span<const Slab> fill) {
  if (!setting.light_sheet_unknown.empty()) return bad_input(setting.light_sheet_unknown);
  MENDTONE_TRY(check_bands(setting, fill));
  return shone_through_unchecked(setting, fill);
}

std::vector<double> seen_unchecked(const Setting& setting, std::span<const Slab> fill) {
  std::vector<double> R(fill.size());
  for (std::size_t i = 0; i < R.size(); ++i) {
    const Slab mend = setting.above.empty() ? fill[i] : in_front(setting.above[i], fill[i]);
    R[i] = over(mend, setting.below[i]) + setting.gloss;
  }
  return R;
}

std::vector<double> shone_through_unchecked(const Setting& setting, std::span<const Slab> fill) {
  std::vector<double> T(fill.size());
  for (std::size_t i = 0; i < T.size(); ++i) {
    Slab mend = fill[i];
    if (!setting.above.empty()) mend = in_front(setting.above[i], mend);
    if (!setting.beneath.empty()) mend = in_front(mend, setting.beneath[i]);
    T[i] = mend.out;
  }
  return T;
}

}  // namespace mendtone
