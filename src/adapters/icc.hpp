#pragma once
#include <lcms2.h>

#include <memory>

namespace mendtone::icc {

struct Close {
  void operator()(void* profile) const { cmsCloseProfile(profile); }
};
struct DeleteTransform {
  void operator()(void* transform) const { cmsDeleteTransform(transform); }
};
struct DeleteContext {
  void operator()(cmsContext context) const { cmsDeleteContext(context); }
};
using Context = std::unique_ptr<_cmsContext_struct, DeleteContext>;
using Handle = std::unique_ptr<void, Close>;
using Transform = std::unique_ptr<void, DeleteTransform>;

/// A context of its own, whose complaints go nowhere: the gate words its own.
Context quiet_context();

}  // namespace mendtone::icc
