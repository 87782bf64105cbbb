#include "mendtone/spectral/reading.hpp"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

#include "mendtone/spectral/places.hpp"

namespace mendtone {
namespace {

template <class E, std::size_t N>
using Names = std::array<std::pair<E, std::string_view>, N>;

constexpr Names<Role, 7> role_names{{{Role::unstated, ""},
                                     {Role::target, "target"},
                                     {Role::backing, "backing"},
                                     {Role::substrate, "substrate"},
                                     {Role::tissue, "tissue"},
                                     {Role::swatch, "swatch"},
                                     {Role::trial, "trial"}}};
constexpr Names<State, 5> state_names{{{State::unstated, ""},
                                       {State::dry, "dry"},
                                       {State::pasted, "pasted"},
                                       {State::sized, "sized"},
                                       {State::wet, "wet"}}};
constexpr Names<Side, 3> side_names{
    {{Side::unstated, ""}, {Side::front, "front"}, {Side::back, "back"}}};
constexpr Names<Condition, 5> condition_names{{{Condition::unstated, ""},
                                               {Condition::m0, "M0"},
                                               {Condition::m1, "M1"},
                                               {Condition::m2, "M2"},
                                               {Condition::m3, "M3"}}};
constexpr Names<LoadUnit, 4> load_unit_names{{{LoadUnit::unstated, ""},
                                              {LoadUnit::g_m2, "g_m2"},
                                              {LoadUnit::ml_m2, "ml_m2"},
                                              {LoadUnit::relative, "relative"}}};

template <class E, std::size_t N>
std::string_view name_in(const Names<E, N>& names, E value) {
  for (const auto& [key, name] : names)
    if (key == value) return name;
  return {};
}

template <class E, std::size_t N>
std::optional<E> value_in(const Names<E, N>& names, std::string_view text) {
  for (const auto& [key, name] : names)
    if (name == text) return key;
  return std::nullopt;
}

}  // namespace

std::string_view name_of(Role v) { return name_in(role_names, v); }
std::string_view name_of(State v) { return name_in(state_names, v); }
std::string_view name_of(Side v) { return name_in(side_names, v); }
std::string_view name_of(Condition v) { return name_in(condition_names, v); }
std::string_view name_of(LoadUnit v) { return name_in(load_unit_names, v); }
std::string_view name_of(Quantity v) {
  return v == Quantity::reflectance ? "reflectance" : "transmittance";
}
std::optional<Role> role_from(std::string_view t) { return value_in(role_names, t); }
std::optional<State> state_from(std::string_view t) { return value_in(state_names, t); }
std::optional<Side> side_from(std::string_view t) { return value_in(side_names, t); }
std::optional<Condition> condition_from(std::string_view t) { return value_in(condition_names, t); }
std::optional<LoadUnit> load_unit_from(std::string_view t) { return value_in(load_unit_names, t); }

std::string text_of(const Source& source) {
  return place_in(source.file, source.line, source.column);
}

bool has_role(const Reading& reading, std::initializer_list<Role> roles) {
  return std::find(roles.begin(), roles.end(), reading.role) != roles.end();
}

}  // namespace mendtone
