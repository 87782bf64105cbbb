#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/colour/difference.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/colour/light.hpp"
#include "mendtone/results/describe.hpp"
#include "mendtone/results/words.hpp"

// What the requests and answers of several verbs share.
namespace mendtone::results {

/// Of a colour and the like: three numbers in a row.
template <class T, auto first, auto second, auto third>
struct ThreeNumbers {
  static constexpr std::size_t count = 3;
  static std::vector<double> get(const T& v) { return {v.*first, v.*second, v.*third}; }
  static std::string set(T& v, const std::vector<double>& read) {
    v.*first = read[0];
    v.*second = read[1];
    v.*third = read[2];
    return {};
  }
};
template <>
struct Numbers<Lab> : ThreeNumbers<Lab, &Lab::L, &Lab::a, &Lab::b> {};
/// A colour that an instrument read, and one that was computed: neither becomes the other unasked.
struct ReadLab : Lab {
  ReadLab() = default;
  explicit ReadLab(const Lab& lab) : Lab(lab) {}
};
struct PredictedLab : Lab {
  PredictedLab() = default;
  explicit PredictedLab(const Lab& lab) : Lab(lab) {}
};
template <>
struct Numbers<ReadLab> : ThreeNumbers<ReadLab, &Lab::L, &Lab::a, &Lab::b> {};
template <>
struct Numbers<PredictedLab> : ThreeNumbers<PredictedLab, &Lab::L, &Lab::a, &Lab::b> {};
template <>
struct Numbers<Lch> : ThreeNumbers<Lch, &Lch::L, &Lch::C, &Lch::h> {};
template <>
struct Numbers<Xyz> : ThreeNumbers<Xyz, &Xyz::X, &Xyz::Y, &Xyz::Z> {};

/// A light as an answer names it: whose name alone would not say which lamp it was.
struct LightNamed {
  std::string name, origin;
};
void fields(Describe&, LightNamed&);
/// "D65 (CIE 15:2018 table)", as it is printed.
std::string text_of(const LightNamed& light);
std::vector<std::string> texts_of(const std::vector<LightNamed>& lights);
LightNamed named(const Light& light);

/// Files, or names kept in a record, and what the person says of their numbers.
struct Sources {
  std::vector<std::string> files;
  std::optional<Scale> scale;
  std::string wavelengths{};  ///< "400-700:10", of tables that do not say them; empty: not stated
};
void fields(Describe&, Sources&);

/// Lights by name, lamp files, or lamps of the record; the first is the viewing light.
struct ViewingRequest {
  std::vector<std::string> lights;
  std::optional<int> observer_deg;  ///< not stated: 10, or what the sheet's viewing distance suggests
};
void fields(Describe&, ViewingRequest&);

/// Something that was asked for and not done, and why.
struct Refused {
  std::string name, light, reason;
};
void fields(Describe&, Refused&);

/// DeltaE00 that counts as a match, where the person states none. Half of observers accept such a
/// pair (from dental studies; read by the maintainers, source not at hand).
inline constexpr double match_tolerance_de00 = 1.8;
/// Where a tolerance for a match is from, in words.
std::string match_tolerance_origin(bool asked);

}  // namespace mendtone::results
