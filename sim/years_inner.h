/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * years_inner: what the two files of years share.
 */
#ifndef SIM_YEARS_INNER_H
#define SIM_YEARS_INNER_H

#include "years.h"

#define YEARS_LENGTH (365.25 * 86400.0) /* s */
#define YEARS_EVERY (2.0 * 86400.0)     /* s between kept states of the normal year */

enum { YEARS_KEPT = 183, YEARS_VOLUMES = 3 };

/* Volumes that tell whether a plant is in its normal cycle. */
extern const int years_volume[YEARS_VOLUMES];

struct years {
    const struct campaign *campaign;
    struct plant plant;         /* water only */
    struct plant full;          /* with all chemistry */
    struct plan plan;           /* undisturbed */
    double mending;             /* s */
    struct risks risks;
    bool silent[HAZARDS_MAX], shows[HAZARDS_MAX];
    bool notices;               /* water is not short in a normal year, so that a person wonders */
    double low[YEARS_VOLUMES], high[YEARS_VOLUMES]; /* m3, of the normal year */
    int kept;
    struct run_saved *saved;    /* [YEARS_KEPT] */
};

#endif
