#pragma once
#include <map>
#include <memory>
#include <mutex>
#include <string>

#include "mendtone/adapters/screen_picture.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/imaging/pixels.hpp"

// Photographs of any size on the screen, in tiles.
namespace mendtone::bench {

constexpr int tile_px = 256;

/// A photograph as the record knows it.
struct EnteredPhotograph {
  std::string path, sha256;
};

/// All levels of a photograph are made in one pass when its first tile is asked for, and kept as
/// plain sRGB codes in a folder; tiles are cut out of that. The full size is kept too where its
/// file can only be read from the top (PNG, JPEG, one stored turned); else it is cut out of the
/// file itself. The oldest are thrown away when the folder grows too large.
class Tiles {
 public:
  Tiles(std::string folder, ScreenPixels pixels)
      : folder_(std::move(folder)), pixels_(std::move(pixels)) {}

  /// PNG. Refuses a level or tile that is not there, a file that is no longer the one that was
  /// entered, and what Photograph::open refuses.
  Result<std::string> png(const EnteredPhotograph& photograph, int level, int x, int y);

 private:
  Result<std::string> made(const EnteredPhotograph& photograph);
  Result<void> make(const EnteredPhotograph& photograph, const std::string& file) const;
  void make_room() const;

  std::string folder_;
  ScreenPixels pixels_;
  std::mutex mutex_;
  std::map<std::string, std::shared_ptr<std::mutex>> making_;  ///< one a photograph
};

}  // namespace mendtone::bench
