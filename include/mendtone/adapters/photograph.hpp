#pragma once
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/adapters/icc.hpp"
#include "mendtone/adapters/picture_program.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/formats/picture_gate.hpp"
#include "mendtone/imaging/pixels.hpp"

namespace mendtone {

/// Where the profile is from if the file only says that it is sRGB; and the mark of such a
/// photograph, wherever it is shown.
inline constexpr const char* declared_srgb =
    "sRGB, as the file says, without a profile: for looking, not for measuring";

/// What a photograph's file says, and what was done on the way in.
struct PhotographFacts {
  std::string file;
  std::string format;  ///< "TIFF", "PNG", "JPEG", "EXR"
  ImageSize size;
  int channels = 3;         ///< of colour: 1 or 3
  std::string sample;       ///< "8 bit", "16 bit", "half float", "float"
  int page = 1, pages = 1;  ///< which picture of the file, and of how many
  int orientation = 1;      ///< as stored; the rows read are upright whatever it is. Ref: exif3
  ProfileFacts profile;
  std::string profile_from;             ///< "embedded", "named: FILE", or `declared_srgb`
  std::optional<double> pixels_per_mm;  ///< from the resolution tag
  std::vector<std::string> warnings;
};

struct PhotographOptions {
  std::string profile_file;  ///< named by the person; empty: the embedded one
  int page = 0;              ///< 1 is the first; 0: the file's only one (but for thumbnails)
  /// To be shown, never measured: a file that only says that it is sRGB is taken at its word.
  bool for_looking = false;
};

/// What a picture is by its first bytes; refuses what the gate refuses.
Result<PictureFormat> picture_format(const std::string& path);

/// A TIFF, PNG, JPEG or OpenEXR photograph, read row by row: memory does not grow with the
/// picture, except within one row of tiles. One that is stored turned or mirrored is set upright
/// and its size is the upright one; a palette is resolved; a transparency is left out: all said
/// among the warnings. Refuses, with the reason: no profile (but see `for_looking`), or one that
/// the gate refuses; CMYK, two or five channels; colours multiplied by a transparency that is not
/// full (found while reading); several pictures in one file where no page is named; whatever the
/// gate refuses
/// (`picture_head`), more than 200 megapixels among it.
class Photograph final : public RowReader {
 public:
  static Result<std::unique_ptr<Photograph>> open(const std::string& path,
                                                  const PhotographOptions& options = {});
  ~Photograph() override;

  const PhotographFacts& facts() const;
  const Profile& profile() const;
  /// Pixels read so far that had a channel at its end (burnt out or, in a float file, beyond 1
  /// or below 0 and cut to it).
  std::size_t clipped_pixels() const;

  ImageSize size() const override;
  const PixelTransform& transform() const override;
  Result<void> read(int y0, int y1, CodedRows& rows) override;
  /// Every row once, so that a file which is damaged anywhere is refused.
  Result<void> read_all();

 private:
  struct State;
  explicit Photograph(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

}  // namespace mendtone
