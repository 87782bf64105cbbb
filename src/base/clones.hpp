#pragma once

// One body, several instruction sets, chosen when the program starts. Contraction stays off, so
// all of them give the same figures. The choosing happens before a sanitizer is ready.
#if defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define MENDTONE_UNDER_SANITIZER 1
#endif
#endif
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define MENDTONE_UNDER_SANITIZER 1
#endif
#if defined(__x86_64__) && defined(__ELF__) && defined(__GNUC__) && \
    !defined(MENDTONE_UNDER_SANITIZER)
#define MENDTONE_CLONES \
  __attribute__((target_clones("arch=x86-64-v4", "arch=x86-64-v3", "default")))
#else
#define MENDTONE_CLONES
#endif

// What a cloned body calls must become part of it, or it stays in the plainest instruction set.
#define MENDTONE_INLINE __attribute__((always_inline)) inline
