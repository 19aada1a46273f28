// SPDX-License-Identifier: MIT
// Wider registers where the processor has them. Without contraction and with every sum written out
// in its order, all clones give the same bits.
#ifndef COILBED_BASE_WIDE_H
#define COILBED_BASE_WIDE_H

#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__) && defined(__gnu_linux__) &&   \
    !defined(__SANITIZE_ADDRESS__)
#if __GNUC__ >= 12
#define CBX_WIDE __attribute__((target_clones("arch=x86-64-v4", "avx2", "default")))
#else
#define CBX_WIDE __attribute__((target_clones("avx2", "default")))
#endif
#else
#define CBX_WIDE
#endif

#endif
