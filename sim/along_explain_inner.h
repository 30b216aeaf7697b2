/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_explain_inner: a membrane that is being explained, for the two files that do it.
 */
#ifndef SIM_ALONG_EXPLAIN_INNER_H
#define SIM_ALONG_EXPLAIN_INNER_H

#include "along_explain.h"

struct along_membrane {
    struct explain *e;
    const struct along_told *t;
    const struct membrane *new; /* as bought */
    struct membrane worn;
    const struct membrane_state *state;
    double T;                 /* degC */
    double feed, made, drain; /* m3/s */
    int segments;
    struct membrane_segment segment[SEGMENTS_MAX];
    struct membrane_slice slice[SEGMENTS_MAX];
};

/* What passes it; after its flow of water has been told. */
void along_explain_salt(struct along_membrane *m);

#endif
