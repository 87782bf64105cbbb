#pragma once
#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "mendtone/base/result.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone {

/// Repeated readings of one spot at one time, as colours under one light.
struct ColourSeries {
  Lab mean;
  std::span<const Lab> each;  ///< never empty
};

/// What is known of the readings beyond their own spread, and what is asked of the change. All
/// CIEDE2000 figures are means between two: two sessions, two seatings, two single readings.
struct ChangeSettings {
  De00Factors factors;
  double reproducibility_de00 = 0;   ///< the instrument from session to session; 0: not stated
  double reseating_de00 = 0;         ///< lifting and re-seating, where the repeats were not lifted
  double single_reading_de00 = 0.3;  ///< stands in where both sides are one reading
  /// One reading to the next on one place, as the instrument's maker states it or as like readings
  /// showed it; 0: not known. It stands beside the repeats' own spread, which few readings leave
  /// open.
  double repeatability_de00 = 0;
  double tolerance_de00 = 0.8;
  std::uint64_t seed = 20260101;
  int draws = 2000;
};

enum class Verdict { within, beyond, undecided };
std::string_view name_of(Verdict);

/// How the repeat spread was found.
enum class SpreadFrom {
  covariance,          ///< the repeats of each side
  pooled_axes,         ///< fewer than four degrees of freedom: the interval is wide for that reason
  stated,              ///< one reading on each side: only what was stated or assumed
  with_repeatability,  ///< fewer than three readings on a side: with the stated repeatability
};

/// "4 more readings on each side decide in 80 % of cases".
std::string more_readings_words(int count);

/// A change of colour and how far it can be believed.
struct Change {
  double de00 = 0;
  std::array<double, 2> interval95{0, 0};
  double u95 = 0;            ///< the longer arm of the interval
  double noise_de00 = 0;     ///< mean CIEDE2000 that an unchanged spot would show
  double unbiased_de00 = 0;  ///< de00 with the noise's mean square taken off; 0 where it is smaller
  double zero_probability = 1;  ///< of so large a T2 when nothing changed
  double within_probability = 0;
  double guarded_limit_de00 = 0;  ///< tolerance less the guard band
  Verdict verdict = Verdict::undecided;
  /// On each side, beside those at hand, where undecided: the fewest that decide four times in
  /// five.
  std::optional<int> more_readings;
  double more_readings_chance = 0;  ///< that they decide
  SpreadFrom spread_from = SpreadFrom::covariance;
};

/// CIEDE2000 between two series of readings, with its 95 % interval, verdict and remedy.
///
/// The interval is the set of true differences not rejected at 5 %. In the axes of CIEDE2000,
/// frozen at the pair, the difference is the length of a vector; a length is tested by the
/// squared distance, in units of its covariance, from the measured vector to the nearest vector
/// of that length. What that distance does by chance is simulated (JCGM 101): sessions like these
/// two are drawn, and each is worked out as these were, so that small series have Student's width.
/// Zero stays in the interval unless it is rejected (Hotelling's T2).
///
/// Each side spreads as its own readings do; the effective degrees of freedom along the difference
/// are Welch and Satterthwaite's, and where both sides spread alike on many readings the result is
/// Nel and van der Merwe's. The verdict has JCGM 106's guard band: `within` and `beyond` only where
/// the whole interval lies on one side of the tolerance. Refuses a side without readings, and fewer
/// than one draw. Ref: jcgm101, jcgm106, hotelling1931, welch1947, nel1986
Result<Change> change(const ColourSeries& before, const ColourSeries& after,
                      const ChangeSettings& settings = {});

}  // namespace mendtone
