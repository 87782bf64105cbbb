#include "mendtone/results/documents.hpp"

#include "mendtone/results/difference.hpp"
#include "mendtone/results/image.hpp"
#include "mendtone/results/lamp.hpp"
#include "mendtone/results/recheck.hpp"
#include "mendtone/results/series.hpp"
#include "mendtone/results/tissue.hpp"
#include "mendtone/results/tone.hpp"
#include "mendtone/results/wash.hpp"

namespace mendtone::results {

std::span<const Type* const> documents() {
  static const Type* const all[] = {
      &type_of<ToneRequest>(),       &type_of<ToneAnswer>(),       &type_of<LampRequest>(),
      &type_of<LampAnswer>(),        &type_of<DifferenceRequest>(),
      &type_of<DifferenceAnswer>(),  &type_of<SpotSeriesRequest>(), &type_of<SpotSeriesAnswer>(),
      &type_of<TissueRequest>(),     &type_of<TissueAnswer>(),     &type_of<DrawerAnswer>(),
      &type_of<ColorantRequest>(),   &type_of<ColorantAnswer>(),   &type_of<SwatchRequest>(),
      &type_of<SwatchAnswer>(),      &type_of<WashRequest>(),      &type_of<WashAnswer>(),
      &type_of<CorrectRequest>(),    &type_of<CorrectAnswer>(),
      &type_of<RecheckAnswer>(),
      &type_of<ImageCheckRequest>(), &type_of<ImageCheckAnswer>(), &type_of<ImageToneRequest>(),
      &type_of<ImageToneAnswer>(),   &type_of<ImageChangeRequest>(), &type_of<ImageChangeAnswer>(),
      &type_of<ImagePreviewAnswer>()};
  return all;
}

}  // namespace mendtone::results
