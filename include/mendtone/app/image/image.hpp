#pragma once
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/adapters/photograph.hpp"
#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/imaging/region.hpp"
#include "mendtone/results/image.hpp"

// What the `image` verbs share. Every colour taken from a photograph is CIELAB under D50, 2
// degrees, absolute colorimetric.
namespace mendtone::app {

using results::PhotoRequest;
using results::PhotoStatement;

/// An opened photograph, with the correction (if named) in its transform.
class Photo {
 public:
  /// `place`: where the names of photograph, profile and correction are looked up.
  static Result<Photo> open(const PhotoRequest& request, const InputPlace& place);
  RowReader& rows() { return *reader_; }
  const Photograph& file() const { return *file_; }
  ImageSize size() const { return file_->size(); }
  PhotoStatement statement() const;

 private:
  std::unique_ptr<Photograph> file_;
  std::unique_ptr<RowReader> watched_, corrected_;
  RowReader* reader_ = nullptr;
  std::string correction_;
};

/// A part of a photograph as the person writes it: `rect:x,y,width,height`,
/// `polygon:x,y,x,y,x,y,…` or `mask:FILE`, in pixels, or the name of a loss or a spot of the record
/// (`SHEET/NAME`); before it, if wished, `NAME=`.
Result<Region> region_from(const std::string& text, const std::string& default_name,
                           ImageSize picture, const InputPlace& place);

/// The scale: the person's, else the resolution tag's, else nothing. Refuses what is not above 0.
Result<std::optional<double>> scale_of(std::optional<double> pixels_per_mm,
                                       const PhotographFacts& facts);

/// The error, said of a file where it names no other place.
Error in_file(Error error, const std::string& file);

/// Refuses a light or an observer that no photograph can answer for.
Result<void> check_own(const results::PhotographsOwn& asked);

/// "D50, 2 degrees, absolute colorimetric".
extern const char* const image_conditions;

}  // namespace mendtone::app
