#include "mendtone/app/wash/palette.hpp"

#include "mendtone/results/palette.hpp"
#include "mendtone/results/walk.hpp"

namespace mendtone::app {

Result<Palette> palette_from(std::string_view text, const std::string& name) {
  auto document = results::read<results::PaletteDocument>(text, name);
  if (!document) return document.error();
  return std::move(document->palette);
}

Result<Palette> load_palette(const std::string& path, const InputPlace& place) {
  auto bytes = input_bytes(path, place);
  if (!bytes) return bytes.error();
  return palette_from(*bytes, path);
}

}  // namespace mendtone::app
