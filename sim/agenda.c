/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * agenda: see agenda.h.
 */
#include "agenda.h"

#include <math.h>

void agenda_init(struct agenda *a)
{
    for (int i = 0; i < SLOT_COUNT; i++)
        a->due[i] = INFINITY;
}

double agenda_next(const struct agenda *a)
{
    double next = INFINITY;
    for (int i = 0; i < SLOT_COUNT; i++)
        next = fmin(next, a->due[i]);
    return next;
}

int agenda_due(const struct agenda *a, double t)
{
    for (int i = 0; i < SLOT_COUNT; i++)
        if (a->due[i] <= t)
            return i;
    return -1;
}
