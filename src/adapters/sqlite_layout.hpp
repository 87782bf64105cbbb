#pragma once
#include <string_view>

namespace mendtone::sqlite {

/// "Mend"
constexpr int application_id = 0x4d656e64;

/// layout_steps[n] turns layout n into layout n + 1; layout 0 is an empty file.
extern const std::string_view layout_steps[];
extern const int latest_layout;

}  // namespace mendtone::sqlite
