/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * hazard: see hazard.h.
 */
#include "hazard.h"

#include <math.h>
#include <string.h>

static const double POWER_LASTS = 12.0 * 3600.0;  /* s; assumption */
static const double SUPPLY_LASTS = 24.0 * 3600.0; /* s; assumption */

int hazard_list(const struct plant *p, struct hazard out[HAZARDS_MAX])
{
    int n = 0;
    for (int i = 0; fault_modes[i].part; i++) {
        const struct fault_mode *m = &fault_modes[i];
        if (fault_applies(p, m) && n < HAZARDS_MAX - 2)
            out[n++] = (struct hazard){
                .part = m->part, .mode = m->mode, .row = i, .amount = m->preset, .lasts = INFINITY
            };
    }
    out[n++] = (struct hazard){ "mains", "cut off", HAZARD_POWER, -1, 0.0, POWER_LASTS };
    out[n++] = (struct hazard){ "supply", "cut off", HAZARD_SUPPLY, -1, 0.0, SUPPLY_LASTS };
    return n;
}

int hazard_events(const struct hazard *h, double t, struct event out[HAZARD_EVENTS])
{
    if (h->kind == HAZARD_FAULT) {
        out[0] = (struct event){ t, EVENT_FAULT, h->row, h->amount };
        return 1;
    }
    const bool power = h->kind == HAZARD_POWER;
    out[0] = (struct event){ .at = t, .kind = power ? EVENT_POWER_OFF : EVENT_SUPPLY_OFF };
    out[1] = (struct event){ .at = t + h->lasts, .kind = power ? EVENT_POWER_ON : EVENT_SUPPLY_ON };
    return 2;
}

bool hazard_together(const struct hazard *a, const struct hazard *b)
{
    return strcmp(a->part, b->part) != 0 || a->kind != b->kind;
}
