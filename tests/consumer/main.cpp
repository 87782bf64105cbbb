#include <cstdio>
#include <cstring>
#include <mendtone/adapters/icc.hpp>
#include <mendtone/adapters/mask_file.hpp>
#include <mendtone/adapters/picture_file.hpp>
#include <mendtone/app/tone/tone.hpp>
#include <mendtone/colour/difference.hpp>

namespace {

/// Writes a mask, reads it through the helper, and says which helper that was.
int picture(const char* path) {
  if (!mendtone::write_picture(path, mendtone::Picture({30, 20}, {65535, 65535, 65535}), {}))
    return 1;
  const auto size = mendtone::mask_size(path);
  if (!size) std::fprintf(stderr, "%s\n", size.error().text().c_str());
  std::printf("%s\n", mendtone::picture_program().c_str());
  return size && size->width == 30 ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc == 3 && std::strcmp(argv[1], "picture") == 0) return picture(argv[2]);
  const double de = mendtone::de00({50, 2.5, 0}, {50, 3.1736, 0.5854});
  std::printf("%.4f\n", de);
  if (argc < 2) return 2;
  const auto tones = mendtone::app::tone({{{argv[1]}, {}}, {}});
  if (tones) std::fputs(mendtone::app::to_text(*tones).c_str(), stdout);
  return tones && de > 0.99 && de < 1.01 && !mendtone::srgb_profile().empty() ? 0 : 1;
}
