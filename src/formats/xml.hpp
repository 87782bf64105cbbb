#pragma once
#include <algorithm>
#include <cstdint>
#include <optional>
#include <pugixml.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "formats/text.hpp"
#include "mendtone/base/result.hpp"

// What the readers of XML formats share.
namespace mendtone::formats {

/// An element's name without its namespace prefix.
inline std::string_view local_name(const pugi::xml_node& node) {
  const std::string_view name = node.name();
  const std::size_t colon = name.rfind(':');
  return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

inline pugi::xml_node child(const pugi::xml_node& parent, std::string_view name) {
  for (const pugi::xml_node& node : parent.children())
    if (same_word(local_name(node), name)) return node;
  return {};
}

inline std::string text_in(const pugi::xml_node& node) {
  return std::string(trim(node.text().get()));
}

inline std::string attribute(const pugi::xml_node& node, std::string_view name) {
  for (const pugi::xml_attribute& a : node.attributes())
    if (same_word(a.name(), name)) return std::string(trim(a.value()));
  return {};
}

inline std::optional<double> number_of(std::string_view text) {
  DecimalSign sign;
  sign.look_at(text);
  return number_in(text, sign.sign());
}

/// Where in the text a node stands.
class XmlLines {
 public:
  explicit XmlLines(std::string_view text) {
    ends_.reserve(static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')));
    for (std::size_t i = 0; i < text.size(); ++i)
      if (text[i] == '\n' || (text[i] == '\r' && text.substr(i, 2) != "\r\n"))
        ends_.push_back(static_cast<std::uint32_t>(i));
  }
  std::size_t of(std::ptrdiff_t offset) const {
    const auto end = std::lower_bound(ends_.begin(), ends_.end(), static_cast<std::size_t>(offset));
    return static_cast<std::size_t>(end - ends_.begin()) + 1;
  }
  std::size_t of(const pugi::xml_node& node) const {
    return of(std::max<std::ptrdiff_t>(0, node.offset_debug()));
  }

 private:
  std::vector<std::uint32_t> ends_;
};

/// Parses a text; refuses with the line of the fault. A tree takes some sixty bytes for each of its
/// marks, so they are counted first.
inline Result<void> parse_xml(pugi::xml_document& document, std::string_view text,
                              std::string_view file, const XmlLines& lines) {
  constexpr std::ptrdiff_t most_marks = 4000000;
  const auto marks =
      std::count(text.begin(), text.end(), '<') + std::count(text.begin(), text.end(), '=');
  if (marks > most_marks)
    return bad_input("expected XML of at most " + std::to_string(most_marks) +
                         " elements and attributes, found more",
                     std::string(file));
  const auto parsed = document.load_buffer(
      text.data(), text.size(), pugi::parse_default | pugi::parse_trim_pcdata, pugi::encoding_utf8);
  if (parsed) return {};
  return bad_input("expected XML, found a fault: " + lower(parsed.description()),
                   place(file, lines.of(parsed.offset)));
}

}  // namespace mendtone::formats
