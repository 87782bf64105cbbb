#pragma once
#include <array>
#include <cstdint>
#include <optional>
#include <span>
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
  double tolerance_de00 = 0.8;
  std::uint64_t seed = 20260101;
  int draws = 2000;
};

enum class Verdict { within, beyond, undecided };
std::string_view name_of(Verdict);

/// How the repeat spread was found.
enum class SpreadFrom {
  covariance,   ///< pooled 3x3 covariance of the repeats (four or more degrees of freedom)
  pooled_axes,  ///< fewer: one spread for all three CIEDE2000 axes
  stated        ///< one reading on each side: only what was stated or assumed
};

/// A change of colour and how far it can be believed.
struct Change {
  double de00 = 0;
  std::array<double, 2> interval95{0, 0};
  double u95 = 0;            ///< the longer arm of the interval
  double noise_de00 = 0;     ///< mean CIEDE2000 that an unchanged spot would show
  double unbiased_de00 = 0;  ///< de00 with the noise's mean square taken off; 0 where it is smaller
  double zero_probability = 1;  ///< of so large a T2 when nothing changed (Hotelling)
  double within_probability = 0;
  double guarded_limit_de00 = 0;  ///< tolerance less the guard band
  Verdict verdict = Verdict::undecided;
  std::optional<int> more_readings;  ///< on each side, where undecided and that many would decide
  SpreadFrom spread_from = SpreadFrom::covariance;
};

/// CIEDE2000 between two series of readings, with its 95 % interval, verdict and remedy.
///
/// The interval is the set of true differences not rejected at 5 %. In the axes of CIEDE2000,
/// frozen at the pair, the difference is the length of a vector; a length is tested by the
/// squared distance, in units of its covariance, from the measured vector to the nearest vector
/// of that length. What that distance does by chance is simulated (JCGM 101), with covariances as
/// uncertain as few repeats leave them (Wishart), so that small series have Student's width. At
/// zero this is Hotelling's T2; zero stays in the interval unless it is rejected.
///
/// Repeats before and after are taken to spread alike. The verdict has JCGM 106's guard band:
/// `within` and `beyond` only where the whole interval lies on one side of the tolerance.
/// Refuses a side without readings, and fewer than one draw. Ref: jcgm101, jcgm106, hotelling1931
Result<Change> change(const ColourSeries& before, const ColourSeries& after,
                      const ChangeSettings& settings = {});

}  // namespace mendtone
