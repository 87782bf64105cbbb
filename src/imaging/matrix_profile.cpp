#include "mendtone/imaging/matrix_profile.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "base/clones.hpp"
#include "mendtone/imaging/planar.hpp"

namespace mendtone {
namespace {

constexpr std::size_t codes = 65536;

MENDTONE_CLONES
void multiply(const float* m, float* r, float* g, float* b, std::size_t count) {
  for (std::size_t i = 0; i < count; ++i) {
    const float R = r[i], G = g[i], B = b[i];
    r[i] = m[0] * R + m[1] * G + m[2] * B;
    g[i] = m[3] * R + m[4] * G + m[5] * B;
    b[i] = m[6] * R + m[7] * G + m[8] * B;
  }
}

std::array<double, 9> inverse(const std::array<double, 9>& m) {
  const double c0 = m[4] * m[8] - m[5] * m[7], c1 = m[5] * m[6] - m[3] * m[8],
               c2 = m[3] * m[7] - m[4] * m[6];
  const double d = m[0] * c0 + m[1] * c1 + m[2] * c2;
  return {c0 / d, (m[2] * m[7] - m[1] * m[8]) / d, (m[1] * m[5] - m[2] * m[4]) / d,
          c1 / d, (m[0] * m[8] - m[2] * m[6]) / d, (m[2] * m[3] - m[0] * m[5]) / d,
          c2 / d, (m[1] * m[6] - m[0] * m[7]) / d, (m[0] * m[4] - m[1] * m[3]) / d};
}

float linear(const std::vector<float>& curve, float code) {
  const float position = std::clamp(code, 0.0f, 1.0f) * (codes - 1);
  const auto i = std::min(static_cast<std::size_t>(position), codes - 2);
  const float t = position - static_cast<float>(i);
  return curve[i] + t * (curve[i + 1] - curve[i]);
}

/// The 16-bit code whose light is nearest.
std::uint16_t encode(const std::vector<float>& curve, float light) {
  const auto above = std::lower_bound(curve.begin(), curve.end(), light);
  if (above == curve.begin()) return 0;
  if (above == curve.end()) return codes - 1;
  const auto i = static_cast<std::size_t>(above - curve.begin());
  return static_cast<std::uint16_t>(light - curve[i - 1] < curve[i] - light ? i - 1 : i);
}

class MatrixTransform final : public PixelTransform {
 public:
  explicit MatrixTransform(MatrixProfile p) : profile_(std::move(p)) {
    for (std::size_t i = 0; i < 9; ++i) matrix_[i] = static_cast<float>(profile_.matrix[i]);
    writable_ = true;
    for (const auto& curve : profile_.curves)
      writable_ = writable_ && std::is_sorted(curve.begin(), curve.end());
    if (profile_.channels == 3) {
      inverse_ = inverse(profile_.matrix);
      for (double value : inverse_) writable_ = writable_ && std::isfinite(value);
    } else {
      writable_ = false;  // a grey file cannot hold a colour
    }
  }

  void to_lab(const CodedSpan& coded, float* L, float* a, float* b) const override {
    // In runs that stay in the cache between the three passes.
    constexpr std::size_t run = 2048;
    for (std::size_t i = 0; i < coded.count; i += run) {
      const std::size_t n = std::min(run, coded.count - i);
      run_to_lab(coded.part(i, n), L + i, a + i, b + i);
    }
  }

  bool writable() const override { return writable_; }

  std::size_t from_lab(const float* L, const float* a, const float* b, std::size_t count,
                       std::uint16_t* coded) const override {
    assert(writable_);
    std::size_t outside = 0;
    for (std::size_t i = 0; i < count; ++i) {
      float X = L[i], Y = a[i], Z = b[i];
      lab_to_relative_xyz(&X, &Y, &Z, 1);
      bool inside = true;
      for (std::size_t c = 0; c < 3; ++c) {
        const double* row = &inverse_[3 * c];
        const auto light = static_cast<float>(row[0] * X + row[1] * Y + row[2] * Z);
        const auto& curve = profile_.curves[c];
        // Half a code of an 8-bit file: less is rounding, not gamut.
        inside = inside && light > curve.front() - 0.002f && light < curve.back() + 0.002f;
        coded[3 * i + c] = encode(curve, light);
      }
      outside += inside ? 0 : 1;
    }
    return outside;
  }

 private:
  void run_to_lab(const CodedSpan& coded, float* L, float* a, float* b) const {
    assert(coded.channels == profile_.channels);
    if (profile_.channels == 1) {
      grey(coded, L, a, b);
    } else {
      const float *r = profile_.curves[0].data(), *g = profile_.curves[1].data(),
                  *bl = profile_.curves[2].data();
      if (coded.u16) {
        const std::uint16_t* p = coded.u16;
        for (std::size_t i = 0; i < coded.count; ++i, p += 3) {
          L[i] = r[p[0]];
          a[i] = g[p[1]];
          b[i] = bl[p[2]];
        }
      } else {
        const float* p = coded.f32;
        for (std::size_t i = 0; i < coded.count; ++i, p += 3) {
          L[i] = linear(profile_.curves[0], p[0]);
          a[i] = linear(profile_.curves[1], p[1]);
          b[i] = linear(profile_.curves[2], p[2]);
        }
      }
      multiply(matrix_.data(), L, a, b, coded.count);
    }
    relative_xyz_to_lab(L, a, b, coded.count);
  }

  void grey(const CodedSpan& coded, float* X, float* Y, float* Z) const {
    const auto& curve = profile_.curves[0];
    for (std::size_t i = 0; i < coded.count; ++i) {
      const float light = coded.u16 ? curve[coded.u16[i]] : linear(curve, coded.f32[i]);
      X[i] = matrix_[0] * light;
      Y[i] = matrix_[3] * light;
      Z[i] = matrix_[6] * light;
    }
  }

  MatrixProfile profile_;
  std::array<float, 9> matrix_{};
  std::array<double, 9> inverse_{};
  bool writable_ = false;
};

}  // namespace

std::unique_ptr<PixelTransform> matrix_transform(MatrixProfile profile) {
  assert(profile.curves.size() == static_cast<std::size_t>(profile.channels));
  for ([[maybe_unused]] const auto& curve : profile.curves) assert(curve.size() == codes);
  return std::make_unique<MatrixTransform>(std::move(profile));
}

}  // namespace mendtone
