#pragma once
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/spectral/reading.hpp"

namespace mendtone::record {

/// Names one thing of one kind for ever, through all of its corrections. 0: none.
using Id = std::int64_t;

/// Who entered something, when (UTC, "2026-03-14T09:26:53Z"), and why. `why` is required of a
/// correction; an ordinary entry may leave it empty.
struct Entry {
  std::string who;
  std::string when;
  std::string why;
  std::string program;  ///< name and version of what wrote it
};

/// A value as it stands in the record. Corrections are rows of their own: `row` is this one,
/// `replaces` the row that it corrects.
template <class T>
struct Kept {
  Id id = 0;
  Id row = 0;
  std::optional<Id> replaces;
  bool withdrawn = false;  ///< a correction that says: this should not have been entered
  Entry entry;
  T value;
};

/// Corner of an outline, in pixels of the photograph, from its top left corner.
struct Corner {
  double x = 0, y = 0;
  bool operator==(const Corner&) const = default;
};

/// Closed polygons; a point is inside where an odd number of them holds it.
using Outline = std::vector<std::vector<Corner>>;

using Link = std::optional<Id>;

/// The object: one sheet.
struct Sheet {
  static constexpr std::string_view kind = "sheet";
  std::string name;
  std::string object_id;  ///< the collection's identifier
  std::string description;
  std::string support;  ///< what the paper is
  std::string media;    ///< what stands on it
  std::optional<double> width_mm, height_mm, grammage_g_m2;
  std::string sizing;
  std::string stamps;      ///< stamps, inscriptions, later additions
  std::string shown_over;  ///< the name of the backing that lies behind it when it is shown
  Link shown_under;        ///< the lamp
  std::optional<double> viewing_distance_cm;
  std::string seen_against_light;  ///< "yes" or "no"
};

/// A photograph stays where it is; the record knows it by its hash.
struct Photograph {
  static constexpr std::string_view kind = "photograph";
  Id sheet = 0;
  std::string name;
  std::string path;
  std::string sha256;
  std::string stage;  ///< "before", "after", "bath 2" …
  std::string side;   ///< "front" or "back"
  std::optional<std::int64_t> width_px, height_px;
  std::string light;
  std::string profile;  ///< the ICC profile's name, as the file says
  std::string taken;
  std::string note;
  std::string lighting;  ///< "even", "raking", "transmitted", "ultraviolet", "infrared"
  std::string camera, target, exposure;
};

/// A place that is read again and again.
struct Spot {
  static constexpr std::string_view kind = "spot";
  Id sheet = 0;
  std::string name;
  std::string place;          ///< in words
  std::string template_name;  ///< the punched film that brings the head back
  std::string side;
  Link photograph;
  Outline outline;
};

/// A loss or a tear.
struct Loss {
  static constexpr std::string_view kind = "loss";
  Id sheet = 0;
  std::string name;
  std::string nature;  ///< "loss" or "tear"
  std::string place;
  std::optional<double> area_cm2;
  Link photograph;
  Outline outline;
  Link mask;  ///< a photograph whose white is the loss
  std::string note;
  std::string media_near;  ///< what stands beside it
  std::string ended;       ///< "filled" or "left alone"; empty: not yet
  std::string ended_why;
};

struct Instrument {
  static constexpr std::string_view kind = "instrument";
  std::string name;
  std::string serial;
  std::string geometry;
  std::optional<double> aperture_mm;
  std::optional<double> reproducibility_de00;  ///< as its maker states it
  std::string checked;                         ///< when last checked or calibrated, and how
  std::string note;
  std::optional<double> repeatability_de00;  ///< as its maker states it
  std::string lab_light;                     ///< of the L*a*b* that it shows
  std::optional<std::int64_t> lab_observer_deg;
};

/// A lamp of this house, measured or only named.
struct Lamp {
  static constexpr std::string_view kind = "lamp";
  std::string name;
  std::string place;
  std::optional<Spectrum> power;  ///< relative
  std::optional<double> cct_k, illuminance_lx, uv_uw_lm;
  std::string note;
  std::optional<double> lux_hours_year;  ///< what the object gets of it
};

/// A sheet, or a leftover, in the drawer.
struct Tissue {
  static constexpr std::string_view kind = "tissue";
  std::string name;
  std::string lot;
  std::string maker;
  std::string fibre;
  std::optional<double> grammage_g_m2;
  std::optional<double> left_cm2;  ///< amount left
  std::string place;               ///< which drawer
  Link toned_from;                 ///< the untoned tissue
  Link recipe;                     ///< what it was toned with
  std::string state;
  std::string note;
  std::string thickness, texture, grain, sheen, drape;  ///< in her own words
};

struct Colorant {
  static constexpr std::string_view kind = "colorant";
  std::string name;
  std::string colour_index;
  std::string medium;
  std::string maker;
  std::string lot;
  std::string caution;
  std::string excluded;  ///< her own reason never to use it; empty: none
  std::string note;
  std::optional<std::int64_t> blue_wool;  ///< light-fastness, 1 to 8
  std::string light_fastness;             ///< any other class, in words
};

struct Dropper {
  static constexpr std::string_view kind = "dropper";
  std::string name;
  std::optional<double> drop_ml, drop_sd_ml;
  std::optional<std::int64_t> drops_weighed;
  std::string note;
};

/// A stock solution.
struct Stock {
  static constexpr std::string_view kind = "stock";
  std::string name;
  std::map<std::string, double> dry_g_ml;  ///< colorant -> dry colorant, g in one ml
  Link dropper;
  std::string made;
  std::string lot;
  std::string note;
};

/// A readings file as it came; its bytes are kept under their hash.
struct ImportedFile {
  static constexpr std::string_view kind = "file";
  std::string name;
  std::string sha256;
  std::string scale;     ///< what the person said of it: "fraction", "percent" or empty
  std::string warnings;  ///< what was done to it on the way in, one a line
};

/// One press of the button, kept raw.
struct KeptReading {
  static constexpr std::string_view kind = "reading";
  Reading reading;
  Link file;
  Link sheet, spot, loss, tissue, trial, bath, instrument;
  std::string stage;  ///< "before", "after", "bath 2" …
  std::string operator_name;
  std::string taken;  ///< when it was read, as far as known
  Link offcut;
  std::optional<double> light_dose_lx_h;  ///< what a swatch was aged with; never an object
};

/// The mean of repeats, beside the raw readings that it came from.
struct Mean {
  static constexpr std::string_view kind = "mean";
  Reading reading;
  std::vector<Id> of;  ///< raw readings
  Link sheet, spot, loss, tissue, trial, bath;
  std::string stage;
  Link offcut;
  std::optional<double> light_dose_lx_h;
};

/// A computed result and all that is needed to compute it again.
struct Computation {
  static constexpr std::string_view kind = "computation";
  std::string name;        ///< what she called it; may be empty
  std::string verb;        ///< "tone", "difference" …
  std::string parameters;  ///< JSON: the whole request
  std::string lights;      ///< JSON: [{"name", "origin", "sha256"}]
  std::string inputs;      ///< JSON: [{"name", "sha256"}]
  std::string tables;      ///< JSON: {reference table: sha256}
  std::string program;     ///< version that computed it
  std::string result;      ///< JSON, as the command line gives it
  std::string outcome;     ///< "answered", or "no answer" (no match, undecided)
  Link sheet, loss;
  std::string method;  ///< the version of the method, so that another one is told from a fault
};

/// A recipe that was decided on, from a computed list or by hand.
struct Recipe {
  static constexpr std::string_view kind = "recipe";
  std::string name;
  Link loss, tissue, computation;
  std::optional<std::int64_t> number;  ///< its place in the computed list, from 1
  std::map<std::string, double> loads;
  std::string load_unit;
  std::string application;  ///< "absorbed" or "film"
  std::string method;       ///< "bath" or "brush"
  std::optional<std::int64_t> coats;
  std::string note;
};

/// A swatch made to try a recipe; its readings point at it.
struct Trial {
  static constexpr std::string_view kind = "trial";
  std::string name;
  Id recipe = 0;
  Link tissue;
  std::map<std::string, double> loads;  ///< what was really laid down
  std::string load_unit;
  std::optional<std::int64_t> coats;
  std::string made;
  std::string note;
};

/// A fill chosen, refused, or only considered, for one loss.
struct Fill {
  static constexpr std::string_view kind = "fill";
  Id loss = 0;
  std::string name;
  Link tissue, recipe, computation;
  std::optional<std::int64_t> plies;
  std::string use;      ///< "loss", "tear", "lining"
  std::string side;     ///< where it lies: "back" or "front"
  std::string verdict;  ///< "chosen", "refused", "considered"
  std::string reasons;
  std::optional<double> used_cm2;
  std::string adhesive;
  std::string note;
  std::string carried_out;  ///< when
  std::string carried_out_by;
  std::string over;       ///< what lies behind it
  std::string comes_off;  ///< how it can be taken off again
  std::string edge;       ///< "water-cut", "bevelled" …
  std::optional<double> overlap_mm;
};

/// One wash bath of the object.
struct Bath {
  static constexpr std::string_view kind = "bath";
  Id sheet = 0;
  std::string name;
  std::optional<std::int64_t> number;
  std::string water;  ///< "deionised", "tap", "calcium-enriched" …
  std::optional<double> minutes, temperature_c, ph, conductivity_us_cm, volume_l;
  std::string additive;
  std::string given;  ///< when
  std::string note;
};

/// Liquid that a tissue takes up, wet minus dry weight over area: measured, never assumed.
struct PickUp {
  static constexpr std::string_view kind = "pickup";
  Id tissue = 0;
  std::string method;  ///< "bath" or "brush"
  std::optional<std::int64_t> coat;
  std::optional<double> ml_m2;  ///< required
  std::optional<double> sd_ml_m2;
  std::optional<std::int64_t> weighed;  ///< how many pieces
  std::string measured;                 ///< when
  std::string note;
};

/// A drop of a liquid on a medium or on the size, at a place of no account.
struct SpotTest {
  static constexpr std::string_view kind = "spot_test";
  Id sheet = 0;
  std::string tested;  ///< the medium, the stamp, or "size"
  std::string liquid;  ///< "water", "ethanol", "paste" …
  std::string place;
  std::string outcome;  ///< "unchanged", "changed", "unsure"
  std::string happened;
  std::string made;  ///< when
  std::string note;
};

/// A step of the treatment that is owed, barred, or was settled, and why.
struct Step {
  static constexpr std::string_view kind = "step";
  Id sheet = 0;
  Link loss;
  std::string name;      ///< what is to be done, or must not be
  std::string standing;  ///< "owed", "done", "left open", "barred", "allowed"
  std::string reason;    ///< required of "left open", "barred" and "allowed"
  std::string note;
};

/// An offcut pasted on spare paper like the sheet, dried and pressed; its readings, and those of
/// the paper, point at it.
struct Offcut {
  static constexpr std::string_view kind = "offcut";
  std::string name;
  Id tissue = 0;
  Link trial;  ///< the toned swatch that it was cut from
  std::string adhesive;
  std::string pasted_on;
  std::optional<std::int64_t> plies;
  std::string made;
  std::string note;
};

struct Note {
  static constexpr std::string_view kind = "note";
  std::string text;
  Link sheet, spot, loss, tissue, recipe, trial, fill, photograph;
};

}  // namespace mendtone::record
