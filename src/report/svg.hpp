#pragma once
#include <string>
#include <vector>

#include "mendtone/report/drawing.hpp"

namespace mendtone::report {

/// `drawing` as an inline SVG element, named for screen readers by `alt`. Its pictures are those of
/// `shared_pictures` in the same document. `id` is unique in the document.
std::string to_svg(const Drawing& drawing, const std::string& id, const std::string& alt);

/// PNG or JPEG pictures, each carried once, for all drawings of a document; shows nothing itself.
std::string shared_pictures(const std::vector<std::string>& pictures);

/// RFC 4648, with padding.
std::string base64(std::string_view bytes);

/// A CSS colour, "#a1b2c3".
std::string css(const Ink& ink);

}  // namespace mendtone::report
