#include <cstdio>
#include <mendtone/adapters/icc.hpp>
#include <mendtone/app/tone/tone.hpp>
#include <mendtone/colour/difference.hpp>

int main(int argc, char** argv) {
  const double de = mendtone::de00({50, 2.5, 0}, {50, 3.1736, 0.5854});
  std::printf("%.4f\n", de);
  if (argc < 2) return 2;
  const auto tones = mendtone::app::tone({{{argv[1]}, {}, {}}, {}});
  if (tones) std::fputs(to_text(*tones).c_str(), stdout);
  return tones && de > 0.99 && de < 1.01 && !mendtone::srgb_profile().empty() ? 0 : 1;
}
