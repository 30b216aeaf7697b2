/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_find: see rinse_find.h.
 */
#include "rinse_find.h"

#include <math.h>
#include <string.h>

#include "sizing.h"

static const double YEAR_RUN = 365.0 * 86400.0; /* s */

const char *rinse_find_refused(const struct scenario *s)
{
    const struct plant *p = &s->plant;
    const struct prices *prices = &s->plan.prices;
    if (p->membrane < 0)
        return "there is no membrane in the train: nothing to rinse";
    if (!plant_has_solenoid(p))
        return "no rinse is possible: at start, at stop and every so often all need a controller "
               "with a "
               "feed solenoid, and nothing in shutoff has one; add \"level switches\" to shutoff";
    if (!p->train[p->membrane].params.membrane.wear.on)
        return "the membrane does not wear (wear = { on = false; }): a rinse could only cost water";
    if (sizing_need(p, &s->plan, 0.0) <= 0.0 && sizing_need(p, &s->plan, 0.5 * YEAR_RUN) <= 0.0)
        return "nothing is used again and again, neither drawn nor topped off: there is no year's "
               "cost to "
               "weigh; add draws with every, or served water";
    if (!(prices->water > 0.0 || prices->sewer > 0.0))
        return "water and sewer cost nothing: the longest and most frequent rinse would be the "
               "best; "
               "say what water costs in prices, even if it is little";
    return NULL;
}

enum status rinse_find(struct rinse_found *f, const struct scenario *s,
                       const struct rinse_options *options)
{
    int done = 0;
    struct rinse_options o = *options;
    o.done = &done;
    memset(f, 0, sizeof *f);
    f->scenario = s;
    const double span = o.span > 0.0 ? o.span : YEAR_RUN;
    TRY(rinse_year_prepare(&f->c, &s->plant, &s->plan, span, o.stop));
    TRY(rinse_ways(f, &o));
    return rinse_doubts(f, &o);
}
