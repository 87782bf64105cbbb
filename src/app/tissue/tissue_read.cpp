#include <algorithm>
#include <iterator>

#include "app/inputs/text.hpp"
#include "mendtone/app/tissue/tissue.hpp"

namespace mendtone::app {
namespace {

void add(ReadFile file, std::vector<Reading>& rows, TissueMaterial& material) {
  std::move(file.readings.begin(), file.readings.end(), std::back_inserter(rows));
  std::move(file.warnings.begin(), file.warnings.end(), std::back_inserter(material.warnings));
}

/// Takes the rows that `is_target` is true of out of the tissues' rows: none stands in both.
template <class IsTarget>
void part(TissueMaterial& material, IsTarget is_target) {
  const auto rest = std::stable_partition(material.tissues.begin(), material.tissues.end(),
                                          [&](const Reading& row) { return !is_target(row); });
  std::move(rest, material.tissues.end(), std::back_inserter(material.target));
  material.tissues.erase(rest, material.tissues.end());
}

/// "; the readings hold …": what might have been meant.
std::string sheets_in(const TissueMaterial& material) {
  std::vector<std::string> names;
  for (const Reading& row : material.tissues)
    if (has_role(row, {Role::target, Role::unstated}) &&
        std::find(names.begin(), names.end(), row.name) == names.end())
      names.push_back(row.name);
  return names.empty() ? "" : "; the readings of --from hold " + listed(names);
}

Result<void> read_target(const TissueRequest& request, const InputPlace& place,
                         TissueMaterial& material) {
  const std::string& name = request.target;
  if (!is_file(name, place)) {
    part(material, [&](const Reading& row) { return row.name == name; });
    if (!material.target.empty()) {
      material.target_name = name;
      return {};
    }
  }
  const auto& files = request.tissues;
  if (std::find(files.begin(), files.end(), name) != files.end()) {
    part(material,
         [&](const Reading& row) { return row.role == Role::target && row.source.file == name; });
    return {};
  }
  auto file = load({{name}, request.scale}, place);
  if (!file && !is_file(name, place) && place.record.empty())
    return Error{file.error().code,
                 "there is neither a file nor a reading of this name" + sheets_in(material),
                 "--for " + name};
  if (!file) return file.error();
  add(*std::move(file), material.target, material);
  return {};
}

Result<void> read_backing(const TissueRequest& request, const InputPlace& place,
                          TissueMaterial& material) {
  const auto names_it = [&](const Reading& row) {
    return row.name == request.over && (row.role == Role::backing || row.role == Role::substrate);
  };
  const bool among_readings =
      std::any_of(material.tissues.begin(), material.tissues.end(), names_it) ||
      std::any_of(material.target.begin(), material.target.end(), names_it);
  const bool file_of_it = is_file(request.over, place);
  if (!file_of_it) {
    if (among_readings) return {};
    const std::size_t before = material.tissues.size();
    if (auto added = add_backing(request.over, place, material.tissues); !added)
      return added.error();
    if (material.tissues.size() > before || place.record.empty()) return {};
  }
  auto file = load({{request.over}, request.scale}, place);
  if (!file && !file_of_it) return {};  // a nominal one, or refused with the names there are
  if (!file) return file.error();
  std::vector<std::string> names;
  for (Reading& row : file->readings) {
    if (row.role == Role::unstated) row.role = Role::backing;
    if (row.role != Role::backing && row.role != Role::substrate) continue;
    if (std::find(names.begin(), names.end(), row.name) == names.end()) names.push_back(row.name);
  }
  if (names.size() != 1 && !file_of_it) return {};  // a tissue's readings, and what lay behind them
  if (names.size() != 1)
    return bad_request(names.empty() ? "there is no backing in it"
                                     : "there are several backings in it: " + listed(names) +
                                           "; give the file with --from and one name with --over",
                       "--over " + request.over);
  material.over = names.front();
  add(*std::move(file), material.tissues, material);
  return {};
}

}  // namespace

Result<TissueMaterial> read_material(const TissueRequest& request, const InputPlace& place) {
  if (request.over.empty())
    return bad_request(
        "say what lies behind the sheet when it is shown: the name of a backing that was read",
        "--over");
  TissueMaterial material;
  material.target_name = request.target_name;
  material.over = request.over;
  material.lining = std::all_of(request.question.uses.begin(), request.question.uses.end(),
                                [](Use use) { return use == Use::lining; });
  material.surfaces = request.surfaces;
  auto tissues = load({request.tissues, request.scale}, place);
  if (!tissues) return tissues.error();
  add(*std::move(tissues), material.tissues, material);
  if (const auto read = read_target(request, place, material); !read) return read.error();
  if (const auto read = read_backing(request, place, material); !read) return read.error();
  auto entered = entered_sheet(request.target, request.target_name, place);
  if (!entered) return entered.error();
  material.entered = *std::move(entered);
  auto drawer = entered_tissues(place);
  if (!drawer) return drawer.error();
  material.drawer_entered = *std::move(drawer);
  return material;
}

Result<TissueAnswer> tissue(const TissueRequest& request, const InputPlace& place) {
  auto material = read_material(request, place);
  if (!material) return material.error();
  const auto bench = TissueBench::prepare(*std::move(material));
  if (!bench) return bench.error();
  return bench->rank(request.question, place);
}

}  // namespace mendtone::app
