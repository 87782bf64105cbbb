#pragma once
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/adapters/photograph.hpp"
#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/imaging/region.hpp"

// What the `image` verbs share. Every colour taken from a photograph is CIELAB under D50, 2
// degrees, absolute colorimetric.
namespace mendtone::app {

/// A photograph as the person names it.
struct PhotoRequest {
  std::string file;
  std::string profile;     ///< an ICC file; empty: the embedded profile
  std::string correction;  ///< a kept correction (from `image check`); empty: none
  int page = 0;            ///< of a file that holds several pictures, 1 the first; 0: its only one
  InputPlace record{};     ///< with one, all these may be names of photographs and results in it
};

/// `facts` and where the colours went on the way: what every image answer says of a photograph.
struct PhotoStatement {
  PhotographFacts facts;
  std::string correction;  ///< the file; empty: none was applied
  std::size_t clipped_pixels = 0;
};

/// An opened photograph, with the correction (if named) in its transform.
class Photo {
 public:
  static Result<Photo> open(const PhotoRequest& request);
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

/// "D50, 2 degrees, absolute colorimetric".
extern const char* const image_conditions;

}  // namespace mendtone::app
