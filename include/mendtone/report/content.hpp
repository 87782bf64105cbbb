#pragma once
#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/results/palette.hpp"

namespace mendtone::report {

/// What a report is made from: plain values, filled by the caller from a record or from results.
/// Nothing here is computed again by the report; what is empty is not known and is said to be so.

/// A colour as an sRGB screen shows it, made through ICC by the caller. `outside`: the screen
/// cannot show it, and what is shown is the nearest that it can.
struct ScreenColour {
  std::uint8_t r = 0, g = 0, b = 0;
  bool outside = false;
};

/// CIELAB with the light and the observer that it belongs to.
struct Tone {
  Lab lab;
  std::string light;
  int observer_deg = 0;
  std::optional<ScreenColour> screen;
};

/// Where the true mean of a reading lies with 95 % confidence: an ellipse in the a*b* plane and an
/// interval in L*, in CIELAB units, about the mean. `basis` says what it rests on.
struct Region {
  double L_half = 0;
  double ab_major = 0, ab_minor = 0;  ///< half axes
  double ab_angle_deg = 0;            ///< of the major axis, from +a* towards +b*
  std::string basis;
};

/// Reflectance (or transmittance) as a fraction. `low` and `high` are the band of the repeats;
/// empty where there were none.
struct Curve {
  std::vector<double> nm, mean, low, high;
};

/// What the colours of a change map mean. The bar is a picture of its own: one column, high end up.
struct MapScale {
  std::string quantity;  ///< "\u0394E00", "\u0394L*" …
  double low = 0, high = 1;
  std::string low_word, high_word;  ///< "darker", "lighter"; may be empty
  std::size_t bar = 0;              ///< index into ReportContent::pictures
};

/// A closed outline; units are those of whatever it is drawn on (picture pixels, or any).
struct Outline {
  std::vector<std::array<double, 2>> points;
};

/// A picture as PNG or JPEG bytes. `kind` "sheet": the photograph that carries the spots' outlines;
/// "change": a change map; anything else: evidence.
struct Picture {
  std::string kind, title, alt, caption;
  std::string bytes;
  int width_px = 0, height_px = 0;
  std::string origin;    ///< file name and sha256, as far as known
  std::string stage;     ///< of the treatment, as entered
  std::string lighting;  ///< "even", "raking", "transmitted", "ultraviolet" …; empty: not stated
  std::optional<double> px_per_mm;  ///< of the picture as it is here
  std::optional<MapScale> scale;    ///< of a change map
};

/// A place on the sheet that can be found again.
struct Spot {
  std::string name, place;
  Outline outline;                     ///< in pixels of the picture; empty: not recorded
  std::optional<std::size_t> picture;  ///< index into ReportContent::pictures
};

/// The mean of the repeats of one spot at one stage.
struct Reading {
  std::string spot;   ///< the name of its Spot, where there is one
  std::string stage;  ///< "before treatment", "after bath 2", …
  Tone tone;
  int n = 0;  ///< repeats; 0: not known
  std::optional<double> spread_de00;
  std::optional<Region> region;
  Curve curve;
  std::string instrument, geometry, condition, backing, state, taken, operator_name;
  std::string conditions;  ///< all of them as one line, where they are not known one by one
  std::vector<std::string> warnings;
};

/// Two stages of one spot compared. `low`..`high` is the 95 % interval of CIEDE2000.
struct Difference {
  std::string spot, from_stage, to_stage;
  std::string light;
  int observer_deg = 0;
  double de00 = 0;
  std::optional<double> low, high, u95, de_ab;
  std::optional<double> dL, da, db, dC, dH;
  std::optional<double> tolerance;
  std::string tolerance_origin;
  std::string verdict;                ///< "within", "beyond", "undecided", or empty: none given
  std::optional<int> more_readings;   ///< how many more would decide
  std::optional<double> grey_rating;  ///< ISO 105-A05
  std::optional<double> metamerism_de00;
  std::vector<std::string> warnings;
};

using results::Load;
using results::Transmitted;
using UnderLight = results::ColourUnder;

/// One fact as it was entered: what it is of, and its words.
struct Fact {
  std::string name, value;
};

/// Something that was entered by hand, whatever the rest of the report makes of it.
struct Entered {
  std::string kind, name;
  std::vector<Fact> facts;
};

/// A loss or a tear of the sheet, whatever became of it.
struct Damage {
  std::string name, nature, place;
  std::optional<double> area_cm2;
};

/// How a loss or a tear ended, as it was entered.
struct Ending {
  std::string loss;
  std::string ended;  ///< "filled", "left alone"
  std::string why;
};

/// A tissue considered for a loss, a tear or a lining. What was entered stands as it was entered;
/// figures of a ranking are its evidence.
struct Fill {
  std::string name;  ///< the tissue
  std::string loss;  ///< which loss or tear; empty: only one
  std::string use;   ///< "loss", "tear", "lining"
  std::string side;
  int plies = 0;
  std::optional<double> weight_g_m2;  ///< all plies together
  std::string over;                   ///< what lies behind when the object is shown
  std::optional<Tone> tone;           ///< predicted; nothing: entered, and never computed
  std::optional<Tone> sheet;          ///< the tone that it is to meet
  std::optional<double> de00, u95_de00, dL, da, db, worst_de00, overlap_de00, score;
  std::optional<double> nearest_probability;  ///< probability of being truly the nearest
  std::string worst_light;
  std::vector<UnderLight> by_light;
  std::optional<Transmitted> transmitted;
  std::vector<std::string> reasons, cautions;
  bool chosen = false;
  std::string refused_because;  ///< why it was not taken; empty: no reason given
  std::string verdict;        ///< as entered: "chosen", "refused", "considered"; empty: ranked only
  std::vector<Fact> entered;  ///< the rest of what was entered: adhesive, edge, area used …
  std::optional<Tone> measured;                       ///< as it was read, on a trial of its wash
  std::optional<double> measured_de00;                ///< that, from the sheet
  std::optional<std::array<double, 2>> measured_u95;  ///< 95 % interval of measured_de00
  std::optional<Tone> aim;  ///< what a wash was to reach, beside the sheet's tone
  Outline outline;          ///< of the loss
};

/// One item to measure out; the last of a mix is the water.
struct Dispense {
  std::string stock;
  std::optional<double> ml, drops, of_volume_ml;
};

struct Coat {
  int n = 0;
  std::vector<Load> loads;
  std::optional<Tone> tone;
  std::optional<double> de00;
  std::optional<double> transmitted_dL;
};

/// A wash to be mixed: the card that lies on the bench.
struct RecipeCard {
  std::string title, loss, tissue, application, method, load_unit, over;
  std::optional<double> volume_ml, area_cm2;
  std::vector<Load> loads;
  std::vector<Dispense> dispense;
  std::vector<Coat> coats;
  std::optional<Tone> tone;  ///< predicted, of the exact loads; nothing: entered by hand
  std::optional<Tone> sheet, aim;
  std::optional<double> de00, aim_de00, u95_de00, worst_de00, one_drop_de00;
  /// Of the whole drops, where they were counted: what is really laid down.
  std::optional<Tone> whole_drops;
  std::optional<double> whole_drops_de00, whole_drops_aim_de00;
  std::string worst_light;
  std::vector<UnderLight> by_light;
  std::optional<Transmitted> transmitted;
  std::vector<std::string> notes, cautions;
  bool chosen = false;
  bool entered = false;  ///< somebody entered it as a recipe; otherwise it was only computed
};

/// What a trial taught about a colorant: its strength against the calibration, 1 = as calibrated.
struct Learned {
  std::string colorant;
  double strength = 1;
  std::optional<double> u95;
};

/// A trial has three differences, and each bears one name wherever it is shown.
struct Trial {
  std::string name, when;
  std::optional<Tone> predicted;
  std::optional<Tone> measured;
  std::optional<double> de00_to_sheet, de00_to_aim, de00_to_prediction;
  std::vector<Learned> learned;
  std::vector<std::string> notes;
};

/// One step of a series: a bath, a date, a light exposure.
struct SeriesPoint {
  std::string label;
  std::optional<double> de00, low, high;
  std::optional<double> minutes, temperature_c, ph, conductivity_us_cm;
  std::string note;
};

/// Change of one spot from its first reading, step by step.
struct Series {
  std::string spot;
  std::string steps;  ///< what a step is: "bath", "date"
  std::string light;
  int observer_deg = 0;
  std::optional<double> tolerance;
  std::vector<SeriesPoint> points;
  std::string remark;  ///< where a further step no longer changes more than the uncertainty
};

/// Something that the person, or the program, says of the treatment.
struct Note {
  std::string heading, text;
};

struct ReportContent {
  std::string title;
  std::string object_id, object_description, laboratory, operator_name;
  std::string first_day, last_day;          ///< of what was entered
  std::string date;                         ///< of the report, as it is to be printed
  std::string program_version;              ///< "mendtone 0.1.0"
  std::string record_head;                  ///< of the record that it was made from; may be empty
  std::vector<std::string> table_versions;  ///< of reference data, as far as they matter
  std::string data_notice;                  ///< such as "invented data"; shown on every page

  std::vector<Picture> pictures;
  std::vector<Spot> spots;
  std::vector<Reading> readings;
  std::vector<Difference> differences;
  std::vector<Fill> fills;
  std::vector<RecipeCard> recipes;
  std::vector<Trial> trials;
  std::vector<Series> series;
  std::vector<Damage> damages;
  std::vector<Ending> endings;
  std::vector<Entered> entered;  ///< everything of the record, in the order of its kinds

  std::vector<Note> notes;            ///< treatment notes, in order
  std::vector<std::string> methods;   ///< sentences to add to the methods paragraph
  std::vector<std::string> cautions;  ///< beside those of fills and recipes
  std::vector<std::string> unknowns;  ///< beside those that the report finds itself
  std::vector<std::string> sources;   ///< input files with their hashes
};

}  // namespace mendtone::report
