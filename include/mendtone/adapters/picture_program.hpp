#pragma once
#include <string>

namespace mendtone {

/// The helper that reads pictures, `mendtone-pictures`, is looked for beside the running program,
/// then in ../libexec/mendtone from there, then at the places named here, the first named first.
void add_picture_program(const std::string& path);

/// The helper that is used; empty where there is none.
std::string picture_program();

/// Starts the helper in the background, so that it is ready when the first picture is opened. Says
/// nothing where it cannot: opening will.
void prepare_for_pictures();

#ifdef MENDTONE_PICTURE_PROGRAM
/// Where the package that another program was built with has its helper.
inline const bool picture_program_of_package = [] {
  add_picture_program(MENDTONE_PICTURE_PROGRAM);
  return true;
}();
#endif

}  // namespace mendtone
