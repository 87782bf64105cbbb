#include "mendtone/app/image/image.hpp"

#include "app/image/image_correction.hpp"
#include "app/image/image_statement.hpp"
#include "app/image/photograph_kept.hpp"
#include "app/inputs/text.hpp"
#include "app/record/record_lookup.hpp"
#include "mendtone/adapters/mask_file.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {

const char* const image_conditions = "D50, 2 degrees, absolute colorimetric";

namespace {

/// The rows of a photograph, seen through a correction.
class CorrectedRows final : public RowReader {
 public:
  CorrectedRows(RowReader& rows, const PixelCorrection& correction)
      : rows_(rows), transform_(corrected(rows.transform(), correction)) {}
  ImageSize size() const override { return rows_.size(); }
  const PixelTransform& transform() const override { return *transform_; }
  Result<void> read(int y0, int y1, CodedRows& rows) override { return rows_.read(y0, y1, rows); }

 private:
  RowReader& rows_;
  std::unique_ptr<PixelTransform> transform_;
};

/// The rows of a photograph, with a way to end the pass.
class WatchedRows final : public RowReader {
 public:
  WatchedRows(RowReader& rows, Going going) : rows_(rows), going_(std::move(going)) {}
  ImageSize size() const override { return rows_.size(); }
  const PixelTransform& transform() const override { return rows_.transform(); }
  Result<void> read(int y0, int y1, CodedRows& rows) override {
    if (auto on = going_(static_cast<double>(y0) / size().height); !on) return on;
    return rows_.read(y0, y1, rows);
  }

 private:
  RowReader& rows_;
  Going going_;
};

/// Raking, transmitted and ultraviolet light show what is there; their colours measure nothing.
Result<void> may_be_measured(const PhotoRequest& request, const InputPlace& place) {
  const auto kept = kept_photograph(place, request.file);
  if (!kept || kept->lighting.empty() || kept->lighting == "even") return {};
  return bad_request("was kept as taken in light of the kind '" + kept->lighting +
                         "': such a photograph is shown in the report and never measured; expected "
                         "one in even light",
                     request.file);
}

}  // namespace

std::optional<record::Photograph> kept_photograph(const InputPlace& place,
                                                  const std::string& name) {
  if (place.only || place.record.empty()) return std::nullopt;
  const auto store = open_record(place.record, Opening::must_exist);
  if (!store) return std::nullopt;
  const auto id = find_thing(**store, "photograph", name);
  if (!id) return std::nullopt;
  const auto kept = record::get<record::Photograph>(**store, *id);
  return kept ? std::optional(kept->value) : std::nullopt;
}

Result<Photo> Photo::open(const PhotoRequest& request, const InputPlace& place) {
  prepare_for_pictures();  // it loads its libraries while the file's hash is taken
  MENDTONE_TRY(may_be_measured(request, place));
  auto path = input_file(request.file, place);
  if (!path) return path.error();
  std::string profile_path;
  if (!request.profile.empty()) {
    auto named = input_file(request.profile, place);
    if (!named) return named.error();
    profile_path = *named;
  }
  auto file = Photograph::open(*path, {profile_path, request.page});
  if (!file) return file.error();
  Photo photo;
  photo.file_ = *std::move(file);
  photo.reader_ = photo.file_.get();
  if (place.going) {
    photo.watched_ = std::make_unique<WatchedRows>(*photo.file_, place.going);
    photo.reader_ = photo.watched_.get();
  }
  if (request.correction.empty()) return photo;
  auto kept = read_correction(request.correction, place);
  if (!kept) return kept.error();
  const std::string& profile = photo.file_->facts().profile.description;
  if (!kept->profile.empty() && kept->profile != profile)
    return bad_input("this correction was made for photographs with the profile '" + kept->profile +
                         "', and " + request.file + " has '" + profile + "'",
                     request.correction);
  photo.corrected_ = std::make_unique<CorrectedRows>(*photo.reader_, kept->fit.correction);
  photo.reader_ = photo.corrected_.get();
  photo.correction_ = request.correction;
  return photo;
}

PhotoStatement Photo::statement() const {
  const PhotographFacts& f = file_->facts();
  return {
      f.file,         f.format,        f.size.width, f.size.height,           f.channels,
      f.sample,       f.page,          f.pages,      f.orientation,           f.profile.description,
      f.profile_from, f.pixels_per_mm, correction_,  file_->clipped_pixels(), f.warnings};
}

Result<void> check_own(const results::PhotographsOwn& asked) {
  for (const std::string& light : asked.lights)
    if (light != "D50")
      return bad_request(
          "the colours of a photograph are D50, 2 degrees; another light needs a "
          "reading with its spectrum",
          "--light " + light);
  if (asked.observer_deg != 2)
    return bad_request("the colours of a photograph are D50, 2 degrees", "--observer");
  return {};
}

namespace {

Result<std::vector<double>> numbers_of(const std::string& text, const std::string& whole) {
  std::vector<double> numbers;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t comma = std::min(text.find(',', at), text.size());
    const auto number = parse_number(std::string_view(text).substr(at, comma - at));
    if (!number)
      return bad_request("expected numbers with commas between, found '" + text + "'", whole);
    numbers.push_back(*number);
    at = comma + 1;
  }
  return numbers;
}

Result<Region> rectangle_from(const std::string& name, const std::vector<double>& n,
                              ImageSize picture, const std::string& whole) {
  if (n.size() != 4) return bad_request("expected rect:x,y,width,height", whole);
  for (const double value : n)
    if (value != static_cast<double>(static_cast<int>(std::min(std::max(value, -1e9), 1e9))))
      return bad_request("a rectangle is given in whole pixels", whole);
  return rectangle_region(name, static_cast<int>(n[0]), static_cast<int>(n[1]),
                          static_cast<int>(n[2]), static_cast<int>(n[3]), picture);
}

}  // namespace

Result<Region> region_from(const std::string& text, const std::string& default_name,
                           ImageSize picture, const InputPlace& place) {
  const std::size_t colon = text.find(':'), equals = text.find('=');
  const bool named = equals != std::string::npos && (colon == std::string::npos || equals < colon);
  const std::string name = named ? text.substr(0, equals) : default_name;
  const std::string rest = named ? text.substr(equals + 1) : text;
  const std::size_t mark = rest.find(':');
  const std::string kind = rest.substr(0, mark);
  const std::string value = mark == std::string::npos ? "" : rest.substr(mark + 1);
  if (kind == "mask") {
    auto path = input_file(value, place);
    if (!path) return path.error();
    return read_mask(*path, name, picture);
  }
  if (kind != "rect" && kind != "polygon") {
    auto outline = outline_text(rest, place);
    if (!outline) return outline.error();
    if (*outline) {
      const std::string place_name = rest.substr(rest.rfind('/') + 1);  // without its sheet
      return region_from(**outline, named ? name : place_name, picture, place);
    }
    return bad_request("expected rect:x,y,width,height, polygon:x,y,x,y,x,y or mask:FILE", text);
  }
  auto numbers = numbers_of(value, text);
  if (!numbers) return numbers.error();
  if (kind == "rect") return rectangle_from(name, *numbers, picture, text);
  if (numbers->size() % 2 != 0)
    return bad_request("a polygon needs an x and a y for every corner", text);
  std::vector<Point> corners;
  for (std::size_t i = 0; i < numbers->size(); i += 2)
    corners.push_back({(*numbers)[i], (*numbers)[i + 1]});
  return polygon_region(name, corners, picture);
}

Error in_file(Error error, const std::string& file) {
  if (error.where.empty()) error.where = file;
  return error;
}

Result<std::optional<double>> scale_of(std::optional<double> pixels_per_mm,
                                       const PhotographFacts& facts) {
  if (pixels_per_mm && !(*pixels_per_mm > 0 && *pixels_per_mm < 1e5))
    return bad_request("the scale in pixels per mm must be above 0", "--pixels-per-mm");
  return pixels_per_mm ? pixels_per_mm : facts.pixels_per_mm;
}

std::string to_text(const PhotoStatement& photo, const std::string& heading) {
  const PhotoStatement& f = photo;
  std::string text = heading + f.file + ": " + f.format + ", " + std::to_string(f.width_px) +
                     " x " + std::to_string(f.height_px) + " pixels, " + f.sample + "; profile '" +
                     f.profile + "' (" + f.profile_from + ")";
  if (f.pixels_per_mm) text += "; " + fixed(*f.pixels_per_mm, 2) + " pixels per mm";
  text += "\n";
  if (!photo.correction.empty()) text += "  corrected by " + photo.correction + "\n";
  if (photo.clipped_pixels > 0)
    text += "  ! " + counted(photo.clipped_pixels, "pixel has", "pixels have") +
            " a channel at its end: burnt out, or cut to the range; their colour is not known\n";
  for (const std::string& warning : f.warnings) text += "  ! " + warning + "\n";
  return text;
}

}  // namespace mendtone::app
