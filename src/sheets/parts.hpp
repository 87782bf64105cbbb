#pragma once
#include <orcus/sax_parser.hpp>
#include <orcus/zip_archive.hpp>
#include <orcus/zip_archive_stream.hpp>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace mendtone::sheets {

/// One part of the archive, unpacked; empty where there is none.
class Parts {
 public:
  explicit Parts(std::string_view bytes)
      : stream_(reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size()),
        archive_(&stream_) {
    archive_.load();
  }
  std::vector<unsigned char> part(const std::string& name) const {
    std::vector<unsigned char> bytes;
    if (!archive_.read_file_entry(name, bytes)) bytes.clear();
    return bytes;
  }

 private:
  orcus::zip_archive_stream_blob stream_;
  orcus::zip_archive archive_;
};

/// The attributes of the element that begins; the library tells them before the element.
class Attributes {
 public:
  void add(const orcus::sax::parser_attribute& one) {
    if (count_ == kept_.size()) kept_.emplace_back();
    Attribute& kept = kept_[count_++];
    kept.ns = one.ns;
    kept.name = one.name;
    kept.value = one.value;
  }
  /// Of any namespace but `not_of`.
  std::string_view at(std::string_view name, std::string_view not_of = "-") const {
    for (std::size_t i = 0; i < count_; ++i)
      if (kept_[i].name == name && kept_[i].ns != not_of) return kept_[i].value;
    return {};
  }
  void clear() { count_ = 0; }

 private:
  struct Attribute {
    std::string ns, name, value;
  };
  std::vector<Attribute> kept_;  // kept from element to element: there may be millions
  std::size_t count_ = 0;
};

/// Walks one part with a handler that has `start(name, attributes)`, `end(name)` and `text(text)`.
template <class Reader>
class Walk : public orcus::sax_handler {
 public:
  explicit Walk(Reader& reader) : reader_(reader) {}
  void attribute(const orcus::sax::parser_attribute& one) { attributes_.add(one); }
  void end_declaration(std::string_view) { attributes_.clear(); }
  void start_element(const orcus::sax::parser_element& element) {
    if (open_.size() == 256) throw std::runtime_error("its parts are nested too deep");
    open_.push_back(element.name);
    reader_.start(element.name, attributes_);
    attributes_.clear();
  }
  void end_element(const orcus::sax::parser_element& element) {
    // The library does not look whether elements close in the order in which they opened.
    if (open_.empty() || open_.back() != element.name) throw std::runtime_error(damaged_);
    open_.pop_back();
    reader_.end(element.name);
  }
  void end_part() const {
    if (!open_.empty()) throw std::runtime_error(damaged_);
  }
  void characters(std::string_view text, bool) { reader_.text(text); }

 private:
  Reader& reader_;
  static constexpr const char* damaged_ = "its XML is damaged or cut off";
  Attributes attributes_;
  std::vector<std::string_view> open_;
};

constexpr std::size_t most_read_too_far = 256;

template <class Reader>
void walk(std::vector<unsigned char> part, Reader& reader) {
  if (part.empty()) return;
  Walk<Reader> handler(reader);
  const std::size_t size = part.size();
  // At the end of a part that is cut off the library looks a few bytes too far; zeros stop it.
  part.resize(size + most_read_too_far);
  orcus::sax_parser<Walk<Reader>> parser(reinterpret_cast<const char*>(part.data()), size, handler);
  parser.parse();
  handler.end_part();
}

}  // namespace mendtone::sheets
