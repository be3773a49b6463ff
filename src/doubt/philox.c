/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "doubt/philox.h"

#define ROUNDS 10

void sb_philox(const uint32_t counter[4], const uint32_t key[2], uint32_t out[4])
{
    uint32_t c0 = counter[0], c1 = counter[1], c2 = counter[2], c3 = counter[3];
    uint32_t k0 = key[0], k1 = key[1];
    for (int round = 0; round < ROUNDS; round++) {
        uint64_t a = (uint64_t)0xD2511F53u * c0, b = (uint64_t)0xCD9E8D57u * c2;
        uint32_t old1 = c1, old3 = c3;
        c0 = (uint32_t)(b >> 32) ^ old1 ^ k0;
        c1 = (uint32_t)b;
        c2 = (uint32_t)(a >> 32) ^ old3 ^ k1;
        c3 = (uint32_t)a;
        k0 += 0x9E3779B9u;
        k1 += 0xBB67AE85u;
    }
    out[0] = c0;
    out[1] = c1;
    out[2] = c2;
    out[3] = c3;
}

double sb_philox_unit(uint64_t seed, uint32_t stream, uint64_t sample, uint32_t what)
{
    const uint32_t counter[4] = {(uint32_t)sample, (uint32_t)(sample >> 32), what, stream};
    const uint32_t key[2] = {(uint32_t)seed, (uint32_t)(seed >> 32)};
    uint32_t out[4];
    sb_philox(counter, key, out);
    uint64_t bits = (uint64_t)out[1] << 32 | out[0];
    return ((double)(bits >> 11) + 0.5) * 0x1p-53;
}
