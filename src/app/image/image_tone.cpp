#include "mendtone/app/image/image_tone.hpp"

#include "app/image/image_fills.hpp"
#include "app/image/image_readings.hpp"
#include "app/image/image_statement.hpp"
#include "app/inputs/exact_csv.hpp"
#include "app/inputs/text.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::app {
namespace {

/// A region and the name that a reading of it would have.
struct NamedRegion {
  Region region;
  std::string place;
  bool ring = false;  ///< around a loss, and so perhaps across the sheet's edge
};

Result<std::vector<NamedRegion>> regions_of(const ImageToneRequest& request,
                                            const InputPlace& place, const Photo& photo,
                                            std::optional<double> pixels_per_mm) {
  std::vector<NamedRegion> regions;
  for (const std::string& text : request.regions) {
    auto region = region_from(text, "region " + std::to_string(regions.size() + 1), photo.size(),
                              place);
    if (!region) return region.error();
    regions.push_back({*std::move(region), {}});
    regions.back().place = regions.back().region.name;
  }
  int number = 0;
  for (const std::string& text : request.losses) {
    auto loss =
        region_from(text, "loss " + std::to_string(++number), photo.size(), place);
    if (!loss) return loss.error();
    if (!pixels_per_mm)
      return bad_request(
          "a ring in mm needs the scale: the photograph has no resolution tag that "
          "can be used",
          "--pixels-per-mm");
    auto ring = ring_region("around " + loss->name, *loss, request.ring_mm[0] * *pixels_per_mm,
                            request.ring_mm[1] * *pixels_per_mm, photo.size());
    if (!ring) return ring.error();
    regions.push_back({*std::move(ring), loss->name, true});
  }
  if (regions.empty())
    return bad_request("name the part to read with --region, or a loss with --loss");
  return regions;
}

std::string names_of(const ToneAnswer& tones) {
  std::string names;
  for (const Tone& tone : tones.tones)
    if (names.find("'" + tone.name + "'") == std::string::npos)
      names += (names.empty() ? "'" : ", '") + tone.name + "'";
  return names;
}

/// All readings of the name, since one place may be read over several backings.
Result<void> compare(const std::string& name, const results::RegionOfPaper& ground,
                     const ToneAnswer& tones,
                     const std::string& file, std::vector<ReadingComparison>& comparisons) {
  for (const results::Refused& none : tones.refused)
    if (none.name == name)
      return bad_input(
          "the reading '" + name +
              "' cannot be given under D50, 2 degrees, as the photograph is: " + none.reason,
          file);
  bool found = false;
  for (const Tone& tone : tones.tones) {
    if (tone.name != name || tone.quantity != Quantity::reflectance) continue;
    found = true;
    const SignedDifference d = signed_difference(tone.lab, ground.ground.median);
    comparisons.push_back({ground.name, name, tone.conditions, tone.n, tone.lab,
                           de00(tone.lab, ground.ground.median), d.dL, d.da, d.db, tone.warnings});
  }
  if (found) return {};
  return bad_input("there is no reading '" + name + "' to compare '" + ground.name +
                       "' with; there are " + names_of(tones) +
                       ". Name the one to take with --reading",
                   file);
}

const std::string& reading_of(const ImageToneRequest& request, const NamedRegion& region) {
  return request.reading.empty() ? region.place : request.reading;
}

Result<void> compare_all(const ImageToneRequest& request, const ToneAnswer& tones,
                         const std::vector<NamedRegion>& regions, ImageToneAnswer& answer) {
  for (std::size_t i = 0; i < regions.size(); ++i) {
    auto done = compare(reading_of(request, regions[i]), answer.regions[i], tones,
                        request.compare.files.front(), answer.comparisons);
    if (!done) return done;
  }
  answer.warnings.insert(answer.warnings.end(), tones.warnings.begin(), tones.warnings.end());
  return {};
}

/// The place's reading that lies nearest to a colour: it may be read over several backings.
std::optional<Lab> nearest_reading(const std::string& name, const ToneAnswer& tones,
                                   const Lab& colour) {
  std::optional<Lab> nearest;
  for (const Tone& tone : tones.tones)
    if (tone.name == name && tone.quantity == Quantity::reflectance &&
        (!nearest || de00(tone.lab, colour) < de00(*nearest, colour)))
      nearest = tone.lab;
  return nearest;
}

void prefix(std::vector<std::string>& warnings, std::size_t from, const std::string& name) {
  for (std::size_t i = from; i < warnings.size(); ++i) warnings[i] = "'" + name + "': " + warnings[i];
}

/// What lies beyond the sheet's edge may be commoner in a ring than its paper. A reading of the
/// place says which is the paper; without one, a second colour of that size is said.
Result<GroundAnalysis> ground_of(const ImageToneRequest& request, const NamedRegion& region,
                                 const std::optional<ToneAnswer>& tones, Photo& photo,
                                 ImageToneAnswer& answer) {
  const GroundOptions options{request.near, answer.grain_px, request.tones_at_most};
  auto found = analyse_ground(photo.rows(), region.region, options);
  if (!region.ring || request.near) return found;
  if (tones) {
    const Lab commonest = found ? found->ground.median : Lab{0, 0, 0};
    const auto read = nearest_reading(reading_of(request, region), *tones, commonest);
    if (!read || (found && de00(commonest, *read) <= another_paper_de00)) return found;
    const std::size_t before = answer.warnings.size();
    found = paper_around(photo.rows(), region.region, options, read, answer.warnings);
    prefix(answer.warnings, before, region.region.name);
    return found;
  }
  constexpr double large = 0.2;
  if (!found || found->foreign.empty()) return found;
  const Foreign& other = found->foreign.front();
  if (other.kind != Foreign::Kind::ink && other.share > large)
    answer.warnings.push_back("'" + region.region.name + "': " + fixed(100 * other.share, 0) +
                              " % of the ring has another colour (" + text_of(other.median) +
                              "). At an edge or corner, one of the two may lie beyond the sheet. "
                              "Name the paper with --near, or its reading with --compare");
  return found;
}

std::string comparison_text(const ReadingComparison& c) {
  std::string text = "  reading     " + text_of(c.lab) + "   '" + c.reading + "'" +
                     (c.conditions.empty() ? "" : ", " + c.conditions) +
                     (c.n > 1 ? ", mean of " + std::to_string(c.n) : "") +
                     ", under D50, 2 degrees\n              the photograph is " + fixed(c.de00, 2) +
                     " DeltaE00 from it (dL* " + fixed_signed(c.dL, 2) + ", da* " +
                     fixed_signed(c.da, 2) + ", db* " + fixed_signed(c.db, 2) + ")\n";
  for (const std::string& warning : c.warnings) text += "  ! " + warning + "\n";
  return text;
}

results::RegionOfPaper told(const GroundAnalysis& found) {
  results::RegionOfPaper region{found.region, found.pixels, found.sampled, found.ground,
                                found.foreign, {}, found.grains, found.within_de00};
  for (const MottleTone& tone : found.tones) {
    const SignedDifference d = signed_difference(found.tones.front().lab, tone.lab);
    region.tones.push_back({tone.base ? "base" : "stipple", tone, d.dL, d.da, d.db});
  }
  return region;
}

}  // namespace

Result<ImageToneAnswer> image_tone(const ImageToneRequest& request, const InputPlace& place) {
  if (auto sound = check_own(request.own); !sound) return sound.error();
  if (request.tones_at_most < 1 || request.tones_at_most > 8)
    return bad_request("between 1 and 8 tones", "--tones-at-most");
  if (request.compare.files.empty() && !request.reading.empty())
    return bad_request("--reading names a reading in the files of --compare", "--reading");
  if (!(request.grain_mm > 0)) return bad_request("the grain must be above 0", "--grain");
  auto photo = Photo::open(request.photo, place);
  if (!photo) return photo.error();
  ImageToneAnswer answer;
  auto scale = scale_of(request.pixels_per_mm, photo->file().facts());
  if (!scale) return scale.error();
  answer.pixels_per_mm = *scale;
  answer.grain_px = *scale ? std::max(1.0, request.grain_mm * **scale) : 8;
  auto regions = regions_of(request, place, *photo, *scale);
  if (!regions) return regions.error();
  std::optional<ToneAnswer> tones;
  if (!request.compare.files.empty()) {
    auto read = tones_under_d50(request.compare, place);
    if (!read) return read.error();
    tones = *std::move(read);
  }
  for (const NamedRegion& named : *regions) {
    auto found = ground_of(request, named, tones, *photo, answer);
    if (!found) return in_file(found.error(), request.photo.file);
    if (found->ground.share < 0.4)
      answer.warnings.push_back(
          "'" + found->region + "': the ground is only " + fixed(100 * found->ground.share, 0) +
          " % of the region; see whether its colour is the paper's, else name "
          "it with --near");
    answer.regions.push_back(told(*found));
  }
  answer.photo = photo->statement();
  answer.warnings.push_back(
      "colours from a photograph: check the target of the same session with `mendtone image "
      "check`; "
      "a reading on the spot is nearer the truth");
  if (tones)
    if (auto done = compare_all(request, *tones, *regions, answer); !done) return done.error();
  if (request.keep_readings.empty()) return answer;
  if (auto kept = write_file(request.keep_readings, readings_csv(answer)); !kept) return kept.error();
  answer.kept = request.keep_readings;
  return answer;
}

std::string to_text(const ImageToneAnswer& answer) {
  std::string text = "Tone of the paper in a photograph: CIELAB under " +
                     std::string(image_conditions) + "; DeltaE00 is CIEDE2000\n" +
                     to_text(answer.photo, "Photograph  ");
  for (const results::RegionOfPaper& r : answer.regions) {
    text += "\n" + r.name + "   " + std::to_string(r.pixels) + " pixels\n";
    text += "  ground      " + text_of(r.ground.median) + "   " + fixed(100 * r.ground.share, 1) +
            " % of it; spread " + fixed(r.ground.spread_de00, 2) + " (median), " +
            fixed(r.ground.p90_de00, 2) + " (90 %) DeltaE00\n";
    for (const Foreign& f : r.left_out)
      text += "  left out    " + text_of(f.median) + "   " + fixed(100 * f.share, 1) + " %, " +
              (f.kind == Foreign::Kind::ink       ? "ink and its edges"
               : f.kind == Foreign::Kind::stain   ? "stains"
               : f.kind == Foreign::Kind::lighter ? "lighter spots"
                                                  : "something else") +
              "\n";
    for (const results::ToneOfGround& one : r.tones) {
      const MottleTone& t = one.tone;
      text += std::string(t.base ? "  base tone   " : "  stipple     ") + text_of(t.lab) + "   " +
              fixed(100 * t.share, 0) + " % of the ground" +
              (t.base ? "" : ", " + fixed(t.de00_from_base, 2) + " DeltaE00 from the base") +
              (t.lighter_than_base ? "; lighter than the base, so leave it out" : "") + "\n";
    }
    text += "  mottling    " + counted(r.grains, "grain", "grains") + " of " +
            (answer.pixels_per_mm ? fixed(answer.grain_px / *answer.pixels_per_mm, 2) + " mm"
                                  : fixed(answer.grain_px, 0) + " pixels") +
            "; on average " + fixed(r.within_de00, 2) + " DeltaE00 from their own tone\n";
    for (const ReadingComparison& c : answer.comparisons)
      if (c.region == r.name) text += comparison_text(c);
  }
  text +=
      "\nAs a target for `tissue` or `wash` these tones stand under D50, 2 degrees, and rank "
      "under that light only.\n";
  if (!answer.kept.empty()) text += "Kept: " + answer.kept + "\n";
  for (const std::string& warning : answer.warnings) text += "! " + warning + "\n";
  return text;
}

std::string readings_csv(const ImageToneAnswer& answer) {
  std::string text = exact_csv_line({"name", "role", "L*", "a*", "b*", "light", "observer"});
  const auto row = [&](const std::string& name, const Lab& lab) {
    text +=
        exact_csv_line({name, "target", fixed(lab.L, 3), fixed(lab.a, 3), fixed(lab.b, 3), "D50", "2"});
  };
  for (const results::RegionOfPaper& r : answer.regions) {
    row(r.name, r.ground.median);
    int stipple = 0;
    for (const results::ToneOfGround& t : r.tones)
      row(r.name + (t.tone.base ? ", base tone" : ", stipple " + std::to_string(++stipple)),
          t.tone.lab);
  }
  return text;
}

}  // namespace mendtone::app
