/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * stream: see stream.h.
 */
#include "stream.h"

#include <math.h>

static const uint64_t STRIDE = UINT64_C(0x9e3779b97f4a7c15);

static uint64_t mix(uint64_t z)
{
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

struct stream stream_of(uint64_t seed, uint64_t first, uint64_t second)
{
    return (struct stream){ mix(mix(mix(seed + STRIDE) + first + STRIDE) + second + STRIDE) };
}

uint64_t stream_next(struct stream *s)
{
    s->state += STRIDE;
    return mix(s->state);
}

double stream_uniform(struct stream *s)
{
    return ((double)(stream_next(s) >> 11) + 0.5) * 0x1p-53;
}

double stream_wait(struct stream *s, double rate)
{
    const double u = stream_uniform(s);
    return rate > 0.0 ? -log(u) / rate : INFINITY;
}
