/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * stream: random numbers by counting: the n-th of a stream is a function of its key and n alone, so that
 * what is drawn depends on no thread, no order and no other stream.  Page: docs/overflow.md.
 */
#ifndef SIM_STREAM_H
#define SIM_STREAM_H

#include <stdint.h>

struct stream {
    uint64_t state;
};

/* The stream of three names: a seed, and what of it. */
struct stream stream_of(uint64_t seed, uint64_t first, uint64_t second);

uint64_t stream_next(struct stream *s);      /* the splitmix64 of Steele, Lea and Flood, 2014 */
double stream_uniform(struct stream *s);     /* within 0 and 1, neither reached */
double stream_wait(struct stream *s, double rate); /* till the next of a Poisson process; INFINITY at rate 0 */

#endif
