#pragma once
#include <array>

#include "mendtone/imaging/change.hpp"
#include "mendtone/imaging/correction.hpp"
#include "mendtone/imaging/fill.hpp"
#include "mendtone/imaging/ground.hpp"
#include "mendtone/imaging/registration.hpp"
#include "mendtone/imaging/target.hpp"
#include "mendtone/results/tissue.hpp"

namespace mendtone {

std::span<const PixelCorrection::Kind> every(PixelCorrection::Kind);
std::span<const Foreign::Kind> every(Foreign::Kind);

}  // namespace mendtone

// Every colour taken from a photograph is CIELAB under D50, 2 degrees, absolute colorimetric.
namespace mendtone::results {

/// A photograph as the person names it.
struct PhotoRequest {
  std::string file;
  std::string profile;     ///< an ICC file; empty: the embedded profile
  std::string correction;  ///< a kept correction (from `image check`); empty: none
  int page = 0;            ///< of a file that holds several pictures, 1 the first; 0: its only one
};
void fields(Describe&, PhotoRequest&);

/// Asked of a photograph, a light or an observer is refused unless it is its own.
struct PhotographsOwn {
  std::vector<std::string> lights;
  int observer_deg = 2;
};
void fields(Describe&, PhotographsOwn&);

/// What every image answer says of a photograph.
struct PhotoStatement {
  std::string file, format;
  int width_px = 0, height_px = 0, channels = 0;
  std::string sample;
  int page = 0, pages = 1, orientation = 1;
  std::string profile, profile_from;
  std::optional<double> pixels_per_mm;
  std::string correction;  ///< the file; empty: none was applied
  std::size_t clipped_pixels = 0;
  std::vector<std::string> warnings;
};
void fields(Describe&, PhotoStatement&);

/// What a photograph's colours belong to.
struct PhotographConditions {
  std::string light = "D50";
  int observer_deg = 2;
  std::string intent = "absolute colorimetric";
};

struct ImageCheckRequest {
  PhotoRequest photo;
  Sources reference;            ///< readings of the target's patches, by name
  std::string patches;          ///< CSV name,x,y,width,height in pixels; or a grid:
  std::vector<double> corners;  ///< x,y of top left, top right, bottom right, bottom left
  int columns = 0, rows = 0;
  double part = 0.6;            ///< of a grid cell that is read
  std::string flat;             ///< a photograph of one even card in the same light; empty: none
  std::string keep_correction;  ///< write a correction here, if one helps; empty: none
  PhotographsOwn own;
};
void fields(Describe&, ImageCheckRequest&);

struct CheckedPatch {
  std::string name;
  std::size_t pixels = 0;
  Lab measured, reference;
  double de00 = 0, dL = 0, da = 0, db = 0, spread_dL = 0;
};
void fields(Describe&, CheckedPatch&);

/// One limit of a published tolerance and what was found.
struct ToleranceRow {
  std::string standard, criterion;
  double limit = 0, found = 0;
  bool limit_included = true;  ///< the found value may be the limit itself
  bool within = false;
};
void fields(Describe&, ToleranceRow&);

/// How even an even card was photographed: L* of 5 x 5 fields.
struct FlatField {
  PhotoStatement photo;
  std::array<double, 25> L{};
  double range_dL = 0;
  double largest_da_db = 0;  ///< distance in a*, b* of a field from the mean of all
  std::optional<double> limit_dL;
  std::string limit_why;
};
void fields(Describe&, FlatField&);

struct TriedCorrection {
  CorrectionFit fit;
  bool helps = false;
};
void fields(Describe&, TriedCorrection&);

struct ImageCheckAnswer {
  PhotographConditions conditions;
  PhotoStatement photo;
  std::vector<CheckedPatch> patches;
  double mean_de00 = 0, p90_de00 = 0, max_de00 = 0;
  std::string worst_patch;
  std::size_t neutrals = 0;
  std::optional<double> balance_mean, balance_max;
  double mean_dL = 0, tilt_dL = 0;
  std::vector<ToleranceRow> tolerances;
  std::string caution;
  std::optional<FlatField> flat;
  std::vector<TriedCorrection> corrections;  ///< those that could be fitted
  std::string correction_advice;             ///< whether one helps, in words
  std::string kept;                          ///< the file written
  std::vector<std::string> warnings;
};
void fields(Describe&, ImageCheckAnswer&);

struct ImageToneRequest {
  PhotoRequest photo;
  std::vector<std::string> regions;
  std::vector<std::string> losses;      ///< a ring around each is read
  std::array<double, 2> ring_mm{1, 6};  ///< from the loss's edge
  std::optional<double> pixels_per_mm;
  std::optional<Lab> near;
  double grain_mm = 0.5;  ///< 8 pixels where the scale is not known
  int tones_at_most = 4;
  std::string keep_readings;  ///< CSV of the ground and its tones; empty: none
  Sources compare;            ///< readings of the same places by an instrument; empty: none
  std::string reading;        ///< which of them; empty: the one of the region's or loss's name
  PhotographsOwn own;
};
void fields(Describe&, ImageToneRequest&);

/// One tone of the mottling.
struct ToneOfGround {
  std::string role;  ///< "base" or "stipple"
  MottleTone tone;
  double dL = 0, da = 0, db = 0;  ///< minus the base
};
void fields(Describe&, ToneOfGround&);
void fields(Describe&, Foreign&);
void fields(Describe&, Ground&);

struct RegionOfPaper {
  std::string name;
  std::size_t pixels = 0, sampled = 0;
  Ground ground;
  std::vector<Foreign> left_out;
  std::vector<ToneOfGround> tones;
  std::size_t grains = 0;
  double within_de00 = 0;
};
void fields(Describe&, RegionOfPaper&);

/// The ground of a region against a reading of it, recomputed under D50, 2 degrees.
struct ReadingComparison {
  std::string region, reading, conditions;
  std::size_t n = 0;  ///< repeats in the reading
  Lab lab;            ///< the reading's
  double de00 = 0;
  double dL = 0, da = 0, db = 0;  ///< photograph minus reading
  std::vector<std::string> warnings;
};
void fields(Describe&, ReadingComparison&);

struct ImageToneAnswer {
  PhotographConditions conditions;
  PhotoStatement photo;
  std::optional<double> pixels_per_mm;
  double grain_px = 8;
  std::vector<RegionOfPaper> regions;
  std::vector<ReadingComparison> comparisons;
  std::string kept;
  std::vector<std::string> warnings;
};
void fields(Describe&, ImageToneAnswer&);

struct ImageChangeRequest {
  PhotoRequest before, after;
  /// "auto", "points" or "none" (pixel upon pixel: both must have one size).
  std::string align = "auto";
  Alignment alignment = Alignment::affine;
  std::string points;                ///< CSV before_x,before_y,after_x,after_y; for "points"
  double residual_limit_px = 1;      ///< a poorer alignment is refused
  std::string unchanged;             ///< a region; empty: brightness is left alone
  std::vector<std::string> regions;  ///< figures for each, beside the whole
  double tolerance_de00 = 0.8;
  std::optional<double> pixels_per_mm;
  std::string maps;                ///< pictures are NAME-de00.png, -dL, -da, -db; empty: none
  std::string maps_ending = "png";  ///< or "tif"
  std::string values;              ///< TIFF of DeltaE00 a pixel, float; empty: none
  int threads = 0;                 ///< 0: as many as the machine has
  PhotographsOwn own;
};
void fields(Describe&, ImageChangeRequest&);
void fields(Describe&, ChangeFigures&);

struct RegistrationTold {
  std::string by;  ///< "auto", "points", "none"
  Alignment alignment = Alignment::none;
  std::array<double, 9> after_from_before{1, 0, 0, 0, 1, 0, 0, 0, 1};
  std::size_t pairs = 0, pairs_left_out = 0;
  std::optional<double> residual_px, worst_px;
};
void fields(Describe&, RegistrationTold&);

struct Brightness {
  std::string unchanged;
  Drift drift;
};
void fields(Describe&, Brightness&);

/// Where in a written change map its parts lie, in pixels: left, top, width, height; and what the
/// ends of its bar mean.
struct MapFrame {
  std::string file, quantity;
  double low = 0, high = 1;
  std::string low_word, high_word;
  std::array<double, 4> map{}, bar{};
};
void fields(Describe&, MapFrame&);

struct ImageChangeAnswer {
  PhotographConditions conditions;
  PhotoStatement before, after;
  RegistrationTold registration;
  std::optional<Brightness> brightness;  ///< only where an unchanged area was named
  double tolerance_de00 = 0.8;
  std::optional<double> pixels_per_mm;
  std::vector<ChangeFigures> regions;  ///< the whole first
  std::vector<std::string> pictures;   ///< written files
  std::vector<MapFrame> frames;        ///< of them, where they are change maps
  std::vector<std::string> warnings;
};
void fields(Describe&, ImageChangeAnswer&);

struct ImagePreviewRequest {
  PhotoRequest photo;      ///< its own profile must also lead back from colour to pixels
  std::string loss;        ///< region text
  std::string fills;       ///< JSON of `tissue` or `wash`
  std::optional<Lab> lab;  ///< or one colour, D50/2 degrees
  int rank = 1;            ///< which of the fills
  std::string light;       ///< one of theirs; empty: the viewing light
  std::array<double, 2> ring_mm{1, 6};
  std::optional<double> pixels_per_mm;
  double feather_mm = 0.3;
  double overlap_mm = 0;
  std::optional<Lab> overlap_shift;  ///< what the overlap adds to the sheet; empty: as in `fills`
  bool stipple = false;              ///< with the mottling of the surrounding paper
  std::string out;                   ///< the picture, 16 bits, profile embedded
  std::string strip;                 ///< the best ones side by side; empty: none
  int strip_count = 5;
  PhotographsOwn own;
};
void fields(Describe&, ImagePreviewRequest&);

/// One fill as it was painted.
struct PreviewedFill {
  int rank = 1;
  std::string name;
  Lab lab;          ///< painted, D50/2 degrees
  double de00 = 0;  ///< to the paper around the loss, as painted
  double dL = 0, da = 0, db = 0;
  std::optional<double> overlap_de00;
  std::optional<Shift> overlap_shift;  ///< painted along the loss's edge, where asked for
  std::size_t painted_pixels = 0, out_of_gamut_pixels = 0;
};
void fields(Describe&, PreviewedFill&);

struct ImagePreviewAnswer {
  PhotographConditions conditions;
  PhotoStatement photo;
  std::optional<double> pixels_per_mm;
  Lab ground;                ///< around the loss
  std::string light;         ///< whose differences were painted; empty: a colour as given
  std::optional<int> observer_deg;
  std::string adaptation;
  std::vector<PreviewedFill> fills;  ///< the one asked for first, then the strip's
  std::vector<std::string> pictures, cautions, warnings;
};
void fields(Describe&, ImagePreviewAnswer&);

}  // namespace mendtone::results
