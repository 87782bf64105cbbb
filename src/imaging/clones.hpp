#pragma once

// One body, several instruction sets, chosen when the program starts. Contraction stays off, so
// all of them give the same figures.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__)
#define MENDTONE_CLONES \
  __attribute__((target_clones("arch=x86-64-v4", "arch=x86-64-v3", "default")))
#else
#define MENDTONE_CLONES
#endif
