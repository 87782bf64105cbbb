#pragma once
#include <string>
#include <string_view>

// The words for what a person decided of a fill: of the record, the page and the report alike.
namespace mendtone::report {

/// "Chosen", "Refused", "Considered": a verdict as a person reads it.
std::string verdict_words(std::string_view verdict);

/// Of a fill that another choice has put aside.
std::string no_longer_chosen(const std::string& fill);
/// Why that fill's verdict was changed: `other` was chosen.
std::string superseded_by(const std::string& other);
/// Why `other` cannot be chosen: `fill` was, and was carried out.
std::string carried_out_already(const std::string& fill, const std::string& when,
                                const std::string& other);

}  // namespace mendtone::report
