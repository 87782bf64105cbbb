#include "mendtone/results/words.hpp"

namespace mendtone {

std::string_view name_of(Scale scale) {
  return scale == Scale::percent ? "percent" : "fraction";
}
std::string_view name_of(Joint joint) {
  return joint == Joint::air ? "air" : "contact";
}

#define MENDTONE_EVERY(E, ...)                      \
  std::span<const E> every(E) {                     \
    static constexpr E all[] = {__VA_ARGS__};       \
    return all;                                     \
  }
MENDTONE_EVERY(Scale, Scale::fraction, Scale::percent)
MENDTONE_EVERY(Joint, Joint::contact, Joint::air)
MENDTONE_EVERY(Use, Use::loss, Use::tear, Use::lining)
MENDTONE_EVERY(Side, Side::unstated, Side::front, Side::back)
MENDTONE_EVERY(State, State::unstated, State::dry, State::pasted, State::sized, State::wet)
MENDTONE_EVERY(LoadUnit, LoadUnit::unstated, LoadUnit::g_m2, LoadUnit::ml_m2, LoadUnit::relative)
MENDTONE_EVERY(Application, Application::absorbed, Application::film)
MENDTONE_EVERY(LoadLaw::Kind, LoadLaw::Kind::linear, LoadLaw::Kind::power,
               LoadLaw::Kind::saturating)
MENDTONE_EVERY(LayerModel, LayerModel::two_fluxes, LayerModel::many_fluxes_45_0,
               LayerModel::many_fluxes_sphere)
MENDTONE_EVERY(Method, Method::bath, Method::brush)
MENDTONE_EVERY(Verdict, Verdict::within, Verdict::beyond, Verdict::undecided)
MENDTONE_EVERY(Quantity, Quantity::reflectance, Quantity::transmittance)
MENDTONE_EVERY(Alignment, Alignment::none, Alignment::affine, Alignment::similarity,
               Alignment::projective)
#undef MENDTONE_EVERY

}  // namespace mendtone
