#pragma once

namespace mendtone {

/// CIE 1931 or 1964 tristimulus values, scaled so that the perfect diffuser has Y = 100.
struct Xyz {
  double X = 0, Y = 0, Z = 0;
};

/// CIELAB. Ref: iso11664-4
struct Lab {
  double L = 0, a = 0, b = 0;
};

/// CIELAB in cylinder form; h in degrees, 0 <= h < 360, and 0 where C = 0.
struct Lch {
  double L = 0, C = 0, h = 0;
};

/// Exact with the linear branch below (6/29)^3; no clamping, negative values pass through it.
Lab xyz_to_lab(const Xyz& xyz, const Xyz& white);
Xyz lab_to_xyz(const Lab& lab, const Xyz& white);
Lch lab_to_lch(const Lab& lab);
Lab lch_to_lab(const Lch& lch);

}  // namespace mendtone
