#pragma once
#include "mendtone/optics/layer.hpp"
#include "mendtone/spectral/geometry.hpp"

namespace mendtone {

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
Slab solved(const Path& path, Viewing viewing, int streams = 8, const Phase& phase = {});

/// The same for two unlike slabs in contact, no diffuse light assumed between them.
Slab solved_in_front(const Path& front, const Path& behind, Viewing viewing, int streams = 8,
                     const Phase& phase = {});

/// A slab and how it changes with absorption and scattering.
struct SlabSlopes {
  Slab at, by_absorption, by_scattering;
};

/// What the tables are made for. Readings of a sheet do not tell how its fibres turn light; the
/// middle of 0 to 0.6 is taken for all.
inline constexpr int tabulated_streams = 8;
inline constexpr Phase tabulated_phase{0.3};

/// `solved` in those streams and that phase, from tables made when the program is built: within
/// 1e-6 of it in every quantity up to a scattering of 150, 1e-4 beyond; no absorption, no
/// scattering, endless and black slabs are no special cases. Slopes are those of the tables
/// themselves. Contract: absorption, scattering >= 0.
Slab many_flux(const Path& path, Viewing viewing);
SlabSlopes many_flux_slopes(const Path& path, Viewing viewing);

}  // namespace mendtone
