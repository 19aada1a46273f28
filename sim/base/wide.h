// SPDX-License-Identifier: MIT
// Wider registers where the processor has them, or more of them. Without contraction and with every
// sum written out in its order, all clones give the same bits.
#ifndef COILBED_BASE_WIDE_H
#define COILBED_BASE_WIDE_H

#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__) && defined(__gnu_linux__) &&   \
    !defined(__SANITIZE_ADDRESS__)
#define CBX_WIDE __attribute__((target_clones("avx2", "default")))
#else
#define CBX_WIDE
#endif

// For loops that need many registers; plain ones are slower with those of 512 bits.
#if defined(__GNUC__) && __GNUC__ >= 12 && !defined(__clang__) && defined(__x86_64__) &&           \
    defined(__gnu_linux__) && !defined(__SANITIZE_ADDRESS__)
#define CBX_WIDEST __attribute__((target_clones("arch=x86-64-v4", "avx2", "default")))
#else
#define CBX_WIDEST CBX_WIDE
#endif

// Into each clone of what calls it.
#ifdef __GNUC__
#define CBX_INLINE static inline __attribute__((always_inline))
#else
#define CBX_INLINE static inline
#endif

#endif
