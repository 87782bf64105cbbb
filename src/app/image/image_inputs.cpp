#include <algorithm>
#include <cmath>
#include <filesystem>

#include "app/inputs/json.hpp"
#include "app/record/record_lookup.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

/// A file that lies outside the record: what is noted in place of its bytes.
struct FileOutside {
  std::string path, sha256;
};

std::string noted_text(const FileOutside& file) {
  return written(
      Json{{"schema", "mendtone.file_outside"}, {"path", file.path}, {"sha256", file.sha256}});
}

Result<std::string> unchanged(const FileOutside& file, const std::string& since) {
  auto hash = sha256_of_file(file.path);
  if (!hash) return hash.error();
  if (*hash == file.sha256) return file.path;
  return bad_input("this file was changed since " + since + ": its bytes have another hash (" +
                       hash->substr(0, 12) + "… instead of " + file.sha256.substr(0, 12) + "…)",
                   file.path);
}

Result<std::string> as_noted(const std::string& name, const Inputs& inputs) {
  const auto found = inputs.find(name);
  if (found == inputs.end()) return outside_world("this input was not kept with the result", name);
  const auto json = json_from(found->second, name);
  if (!json) return json.error();
  const auto path = json_text(json_member(*json, "path")),
             hash = json_text(json_member(*json, "sha256"));
  if (!path || !hash) return bad_input("what was kept of this file cannot be understood", name);
  return unchanged({*path, *hash}, "the result was computed");
}

Result<FileOutside> photograph_in_record(const std::string& name, const std::string& record) {
  auto store = open_record(record, Opening::must_exist);
  if (!store) return store.error();
  auto id = find_thing(**store, "photograph", name);
  if (!id) return id.error();
  auto photograph = record::get<record::Photograph>(**store, *id);
  if (!photograph) return photograph.error();
  return FileOutside{photograph->value.path, photograph->value.sha256};
}

std::string polygon_text(const std::vector<record::Corner>& corners) {
  std::string text;
  for (const record::Corner& corner : corners)
    text += (text.empty() ? "polygon:" : ",") + shortest(corner.x) + ',' + shortest(corner.y);
  return text;
}

/// Of a loss or spot: its mask, else its outline.
Result<std::string> text_of_place(const record::Outline& outline, record::Link mask,
                                  const std::string& name) {
  if (mask) return "mask:#" + std::to_string(*mask);
  if (outline.empty())
    return bad_input(
        "its outline was never drawn, and it has no mask; draw one, or write "
        "rect:x,y,width,height",
        name);
  if (outline.size() > 1)
    return bad_input(
        "its outline has several parts; bring a mask of it, or name one part as "
        "polygon:x,y,x,y,x,y",
        name);
  return polygon_text(outline.front());
}

Result<std::optional<std::string>> place_in_record(const std::string& name,
                                                   const std::string& record) {
  const auto as_optional = [](Result<std::string> text) -> Result<std::optional<std::string>> {
    if (!text) return text.error();
    return std::optional(*std::move(text));
  };
  auto store = open_record(record, Opening::must_exist);
  if (!store) return store.error();
  if (const auto id = find_thing(**store, "loss", name)) {
    auto loss = record::get<record::Loss>(**store, *id);
    if (!loss) return loss.error();
    return as_optional(text_of_place(loss->value.outline, loss->value.mask, name));
  }
  if (const auto id = find_thing(**store, "spot", name)) {
    auto spot = record::get<record::Spot>(**store, *id);
    if (!spot) return spot.error();
    return as_optional(text_of_place(spot->value.outline, {}, name));
  }
  return std::optional<std::string>();
}

}  // namespace

Result<std::string> input_file(const std::string& name, const InputPlace& place) {
  if (place.only) return as_noted(name, *place.only);
  FileOutside file{name, {}};
  if (!is_file(name, place) && !place.record.empty()) {
    auto kept = photograph_in_record(name, place.record);
    if (!kept) return kept.error();
    file = *std::move(kept);
    if (auto same = unchanged(file, "it was entered in the record"); !same) return same;
  }
  if (!place.noted) return file.path;
  if (file.sha256.empty()) {
    auto hash = sha256_of_file(file.path);
    if (!hash) return hash.error();
    file.sha256 = *std::move(hash);
    std::error_code ignored;
    const auto whole = std::filesystem::absolute(file.path, ignored);
    if (!ignored) file.path = whole.lexically_normal().string();
  }
  place.noted->emplace(name, noted_text(file));
  return file.path;
}

Result<std::optional<std::string>> outline_text(const std::string& name, const InputPlace& place) {
  const std::string key = "outline of " + name;
  std::optional<std::string> text;
  if (place.only) {
    if (const auto kept = place.only->find(key); kept != place.only->end()) text = kept->second;
    return text;
  }
  if (place.record.empty()) return text;
  auto found = place_in_record(name, place.record);
  if (found && *found && place.noted) place.noted->emplace(key, **found);
  return found;
}

}  // namespace mendtone::app
