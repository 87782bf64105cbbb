#pragma once
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/image/image.hpp"
#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/imaging/correction.hpp"
#include "mendtone/imaging/target.hpp"

namespace mendtone::app {

struct ImageCheckRequest {
  PhotoRequest photo;
  Sources reference;            ///< readings of the target's patches, by name
  std::string patches;          ///< CSV name,x,y,width,height in pixels; or a grid:
  std::vector<double> corners;  ///< x,y of top left, top right, bottom right, bottom left
  int columns = 0, rows = 0;
  double part = 0.6;            ///< of a grid cell that is read
  std::string flat;             ///< a photograph of one even card in the same light; empty: none
  std::string keep_correction;  ///< write a correction here, if one helps; empty: none
};

/// One limit of a published tolerance and what was found.
struct ToleranceRow {
  std::string standard, criterion;
  double limit = 0, found = 0;
  bool strict = false;  ///< the found value must stay below the limit, not only at most at it
  bool within = false;
};

struct CheckedPatch {
  std::string name;
  std::size_t pixels = 0;
  Lab measured, reference;
  double spread_dL = 0;
};

/// How even an even card was photographed: L* of 5 x 5 fields.
struct FlatField {
  PhotoStatement photo;
  std::array<double, 25> L{};
  double range_dL = 0;
  double largest_da_db = 0;  ///< distance in a*, b* of a field from the mean of all
};

struct ImageCheckAnswer {
  PhotoStatement photo;
  std::vector<CheckedPatch> patches;
  TargetFigures figures;
  std::vector<ToleranceRow> tolerances;
  std::optional<FlatField> flat;
  std::vector<CorrectionFit> corrections;  ///< those that could be fitted
  std::string correction_advice;           ///< whether one helps, in words
  PixelCorrection::Kind helps = PixelCorrection::Kind::none;
  std::string kept;  ///< the file written
  std::vector<std::string> warnings;
};

/// Whether a photograph may be measured at all. The reference is recomputed from its spectra under
/// D50/2 degrees; Lab alone must be bound to that. Refuses unlike patch names or counts.
Result<ImageCheckAnswer> image_check(const ImageCheckRequest& request);

std::string to_text(const ImageCheckAnswer&);
std::string to_json(const ImageCheckAnswer&);
std::string to_csv(const ImageCheckAnswer&);
inline bool has_answer(const ImageCheckAnswer&) {
  return true;
}

}  // namespace mendtone::app
