/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * years_inner: what the two files of years share.
 */
#ifndef SIM_YEARS_INNER_H
#define SIM_YEARS_INNER_H

#include "course.h"
#include "years.h"

struct years {
    const struct campaign *campaign;
    struct plant plant;         /* followed as in the campaign */
    struct plant full;          /* with all chemistry */
    struct plan plan;           /* undisturbed */
    double mending;             /* s */
    struct risks risks;
    bool silent[HAZARDS_MAX], shows[HAZARDS_MAX];
    bool notices;               /* water is not short in a normal year, so that a person wonders */
    struct course *normal;
    struct course *with[HAZARDS_MAX]; /* with that fault alone; NULL where there is no such course */
};

#endif
