/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * helps: see helps.h.
 */
#include "helps.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "text.h"

static const double DIVERTED = 300.0;   /* s */
static const double BIGGER = 4.0 / 3.0; /* area */
static const double SHIFT = 0.1;        /* of the share of cation resin */
static const double LEAST_WATER = 0.05; /* m above the outlet at which a fill must have begun */

struct changed {
    struct plant plant;
    struct plan plan;
};

struct trying {
    const struct plant *plant;
    const struct plan *plan;
    double horizon;
    struct helps *helps;
    enum status status[HELPS_MOST];
};

/* Changes the plant, says how; why not, or NULL. */
typedef const char *change(struct changed *c, struct help *h);

/* ---- range ------------------------------------------------------------------------------------
 */

static bool within(const struct field *f, const void *base)
{
    double value;
    if (f->type != FIELD_NUMBER)
        return true;
    memcpy(&value, (const char *)base + f->offset, sizeof value);
    return !isfinite(value) || (value >= f->min && value <= f->max);
}

bool helps_covered(const struct stage *s)
{
    for (const struct field *f = s->kind->fields; f->key; f++)
        if (!within(f, &s->params))
            return false;
    return true;
}

/* ---- changes ----------------------------------------------------------------------------------
 */

static const char *divert(struct changed *c, struct help *h)
{
    struct rinse *r = &c->plant.rinse;
    h->words.words = "divert the first 5 min of each fill to the drain";
    if (c->plant.membrane < 0)
        return "there is no membrane";
    if (!plant_has_solenoid(&c->plant) || !c->plant.fill.switches)
        return "it needs level switches on a feed solenoid";
    if (r->divert >= DIVERTED)
        return "as much is diverted already";
    r->divert = DIVERTED;
    return NULL;
}

static const char *fewer_starts(struct changed *c, struct help *h)
{
    struct fill *f = &c->plant.fill;
    const double lower = f->on_at - (f->off_at - f->on_at);
    const double least = c->plant.tank.outlet + LEAST_WATER;
    const double to = fmax(lower, least);
    if (f->switches && to < f->on_at)
        h->words = (struct phrase){ "fewer starts: call for water at #, not #",
                                    { { PHRASE_AMOUNT, AMOUNT_LEVEL, 0, 100.0 * to },
                                      { PHRASE_BARE, AMOUNT_LEVEL, 0, 100.0 * f->on_at } } };
    else
        h->words.words = "fewer starts: longer fills";
    if (!f->switches)
        return "it needs level switches on a feed solenoid";
    if (!(to < f->on_at))
        return "the start switch is at the bottom already";
    f->on_at = to;
    return NULL;
}

static const char *bigger_element(struct changed *c, struct help *h)
{
    h->words.words = "a membrane with 4/3 of the area";
    if (c->plant.membrane < 0)
        return "there is no membrane";
    c->plant.train[c->plant.membrane].params.membrane.area *= BIGGER;
    return NULL;
}

static const char *second_bed(struct changed *c, struct help *h)
{
    const int last = c->plant.stages - 1;
    h->words.words = "a second bed alike behind it";
    if (c->plant.stages == STAGES_MAX)
        return "the train has as many stages as the model takes";
    c->plant.train[last + 1] = c->plant.train[last];
    c->plan.rule[last + 1] = c->plan.rule[last];
    c->plan.rule[last].reading = NAN; /* the meter stands behind the new one */
    c->plant.stages++;
    h->beds = 2;
    return NULL;
}

static const char *other_mix(struct changed *c, struct help *h, double by)
{
    struct resin *r = &c->plant.train[c->plant.stages - 1].params.resin;
    const double share = r->cation_share + by;
    h->words = (struct phrase){ by > 0.0 ? "more cation resin in the mix: #, not #"
                                         : "less cation resin in the mix: #, not #",
                                { { PHRASE_AMOUNT, AMOUNT_PERCENT, 0, 100.0 * share },
                                  { PHRASE_BARE, AMOUNT_PERCENT, 0, 100.0 * r->cation_share } } };
    if (!(r->cation_share > 0.0 && r->cation_share < 1.0))
        return "the bed is not mixed";
    r->cation_share = share;
    return NULL;
}

static const char *less_cation(struct changed *c, struct help *h)
{
    return other_mix(c, h, -SHIFT);
}

static const char *more_cation(struct changed *c, struct help *h)
{
    return other_mix(c, h, SHIFT);
}

static change *const changes[HELPS_MOST] = { less_cation, more_cation,  second_bed,
                                             divert,      fewer_starts, bigger_element };

/* ---- trying -----------------------------------------------------------------------------------
 */

static enum status follow(struct changed *c, double horizon, struct help *h)
{
    const struct life_options o = { .horizon = horizon, .last_bed_only = true };
    struct tape tape;
    struct life life;
    enum status status = tape_record(&tape, &c->plant, &c->plan);
    if (status == STATUS_OK)
        status = life_follow(&life, &c->plant, &c->plan, &tape, &o);
    tape_free(&tape);
    TRY(status);
    h->litres = life.bed_litres;
    h->t = life.bed_time;
    h->beyond = !life.end[c->plant.stages - 1].why;
    return STATUS_OK;
}

static bool all_covered(const struct plant *p)
{
    for (int k = 0; k < p->stages; k++)
        if (!helps_covered(&p->train[k]))
            return false;
    return true;
}

static enum status try(const struct trying *t, int i, struct changed *c)
{
    struct help *h = &t->helps->list[i];
    c->plant = *t->plant;
    c->plan = *t->plan;
    *h = (struct help){ .beds = 1 };
    h->why_not = changes[i](c, h);
    if (!h->why_not && !all_covered(&c->plant))
        h->why_not = "that is outside of what the model covers";
    return h->why_not ? STATUS_OK : follow(c, t->horizon, h);
}

static void work(void *self, long i)
{
    struct trying *t = self;
    struct changed *c = calloc(1, sizeof *c);
    t->status[i] = c ? try(t, (int)i, c) : STATUS_MEMORY;
    free(c);
}

/* The one that brings most litres for each bed first; what was not tried last. */
static int by_gain(const void *a, const void *b)
{
    const struct help *x = a, *y = b;
    const double gx = x->why_not ? -1.0 : x->litres / x->beds;
    const double gy = y->why_not ? -1.0 : y->litres / y->beds;
    char a_words[PHRASE_WORDS], b_words[PHRASE_WORDS];
    if (gx != gy)
        return gx > gy ? -1 : 1;
    return strcmp(phrase_say(&x->words, TASTE_METRIC, a_words),
                  phrase_say(&y->words, TASTE_METRIC, b_words));
}

enum status helps_find(struct helps *h, const struct plant *p, const struct plan *plan,
                       const struct life *life, double horizon, const struct crew *crew)
{
    const int bed = life_last_bed(p);
    *h = (struct helps){ .count = 0 };
    if (bed < 0 || !(life->bed_litres > 0.0))
        return STATUS_OK;
    h->count = HELPS_MOST;
    h->price = plan->prices.stage[bed];
    struct trying t = { .plant = p, .plan = plan, .horizon = horizon, .helps = h };
    const struct crew silent = { .jobs = crew->jobs, .stop = crew->stop };
    if (!crew_all(&silent, HELPS_MOST, work, &t))
        return STATUS_INTERRUPTED;
    for (int i = 0; i < HELPS_MOST; i++)
        TRY(t.status[i]);
    qsort(h->list, HELPS_MOST, sizeof h->list[0], by_gain);
    return STATUS_OK;
}
