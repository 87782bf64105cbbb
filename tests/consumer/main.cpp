#include <cstdio>
#include <mendtone/app/viewing.hpp>
#include <mendtone/colour/difference.hpp>

int main() {
  const auto viewing = mendtone::app::viewing({}, {"D65"});
  const double de = mendtone::de00({50, 2.5, 0}, {50, 3.1736, 0.5854});
  std::printf("%.4f under %s\n", de, viewing->lights.front().name.c_str());
  return viewing && de > 0.99 && de < 1.01 ? 0 : 1;
}
