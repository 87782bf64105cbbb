#pragma once
#include "mendtone/optics/layer.hpp"
#include "mendtone/spectral/geometry.hpp"

namespace mendtone {

/// What a slab does to light, an instrument's lamp and eye included. The three numbers of `Slab`
/// tell of diffuse light; these of what the lamp sends and the eye sees, and are the same three
/// where a model knows diffuse light only. Fractions; what the eye sees is counted as a reading,
/// against a perfect diffuser.
struct LitSlab : Slab {
  double seen = 0;    ///< what the instrument reads of the front over nothing
  double in = 1;      ///< share of the lamp's light that comes through
  double out = 1;     ///< what the eye sees, from in front, of diffuse light behind
  double thrown = 0;  ///< share of the lamp's light that the front throws back, all ways
  double lit = 0;     ///< what the eye sees of the front in diffuse light
  /// Of `in` and `out` what comes straight through, never scattered: for the eye along its line,
  /// for a lamp that is a beam along that. 0 where a model knows diffuse light only.
  double straight_in = 0, straight_out = 0;

  LitSlab() = default;
  /// One of which only diffuse light is known: the instrument is taken to see that.
  explicit LitSlab(const Slab& diffuse)
      : Slab(diffuse), seen(R12), in(T), out(T), thrown(R12), lit(R12) {}
};

/// One slab in front of another in contact. What was scattered between them is taken as diffuse;
/// beams go on as beams. Where only diffuse light is known it is Kubelka's formula.
/// Ref: kubelka1954
LitSlab in_front(const LitSlab& front, const LitSlab& behind);

/// What the instrument reads of `slab` over a matt backing of reflectance Rg, which is exact: the
/// backing forgets where its light came from.
double over(const LitSlab& slab, double Rg);

/// The lamp and the eye of an instrument. A sheet without a surface of its own throws no specular
/// light, so that including or excluding that is the same.
enum class Viewing {
  at_45_0,   ///< a beam at 45 degrees, looked at along the normal, or the other way round
  diffuse_8  ///< diffuse light, looked at 8 degrees off the normal, or the other way round
};
/// Where files do not state a geometry, 45:0 is taken.
Viewing viewing_of(Geometry stated);

/// How one scattering turns light: Henyey and Greenstein's asymmetry, -1 < g < 1; 0: evenly.
/// Ref: henyey1941
struct Phase {
  double g = 0;
};

/// A slab of absorption and scattering a path (optical depths of its whole thickness along the
/// normal; not Kubelka's K and S). `scattering` is the reduced one, (1 - g) times that of all
/// events, so that slabs of unlike g but equal `scattering` are alike once light has lost its way.
struct Path {
  double absorption = 0, scattering = 0;
};

/// The transfer equation solved for one slab in `streams` directions a hemisphere by doubling, the
/// phase function's forward peak beyond what they resolve counted as not scattered. Loses no light
/// beyond 1e-9. What the layers of this program are tabulated from, and their oracle.
/// Contract: absorption, scattering >= 0; 1 <= streams <= 64; |g| < 1.
/// Ref: vandehulst1980, wiscombe1977
LitSlab solved(const Path& path, Viewing viewing, int streams = 8, const Phase& phase = {});

/// The same for two unlike slabs in contact, no diffuse light assumed between them.
LitSlab solved_in_front(const Path& front, const Path& behind, Viewing viewing, int streams = 8,
                        const Phase& phase = {});

/// A slab and how it changes with absorption and scattering.
struct LitSlabSlopes {
  LitSlab at, by_absorption, by_scattering;
};

/// What the tables are made for. Readings of a sheet do not tell how its fibres turn light; the
/// middle of 0 to 0.6 is taken for all.
inline constexpr int tabulated_streams = 8;
inline constexpr Phase tabulated_phase{0.3};

/// `solved` in those streams and that phase, from tables made when the program is built: within
/// 1e-6 of it in every quantity up to a scattering of 150, 1e-4 beyond; no absorption, no
/// scattering, endless and black slabs are no special cases. Slopes are those of the tables
/// themselves. Contract: absorption, scattering >= 0.
LitSlab many_flux(const Path& path, Viewing viewing);

/// Two unlike slabs in contact. Diffuse light between them errs; by how much is known where both
/// are of one stuff, for that is one thicker slab. What it errs by for two of the mean stuff, as
/// deep as these, is taken off. Within 0.03 L* of the streams' own operators for tissue on a sheet
/// or a sheet on tissue, 0.12 where the tissue is toned, 0.25 for an unscattering film on a ply.
LitSlab many_flux_in_contact(const Path& front, const Path& behind, Viewing viewing);
LitSlabSlopes many_flux_slopes(const Path& path, Viewing viewing);

}  // namespace mendtone
