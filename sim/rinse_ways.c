/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_ways: every way of rinsing at its best, without and with diverting the first product.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rinse_find.h"
#include "screen.h"
#include "text.h"

static const double SHORT = 0.995;     /* of the need: less does not serve */
static const double WORTH = 0.995;     /* of the cost without: what a rinse must bring it to */
static const double WORTH_MORE = 0.98; /* of the cost of one rinse: what several must bring it to */
static const double WORTH_DIVERT = 0.999;
static const double BETWEEN = 0.9; /* of what lies between the level switches, for a rinse */
static const double divert_for[] = { 30.0, 60.0, 120.0, 240.0, 480.0 }; /* s */
static const double drains[RINSE_DRAINS] = { 1.5, 3.0, 6.0, 10.0 };

enum { DIVERTS = sizeof divert_for / sizeof *divert_for, LENGTHS = 15, STEP = 2 };

const char *rinse_ways_words(enum rinse_way way)
{
    static const char *const words[RINSE_WAYS] = {
        [RINSE_NONE] = "none",
        [RINSE_OWN] = "as in the scenario",
        [RINSE_START] = "at start",
        [RINSE_STOP] = "at stop, feed",
        [RINSE_STOP_PERMEATE] = "at stop, product",
        [RINSE_EVERY] = "every so often",
        [RINSE_TOGETHER] = "together",
    };
    return words[way];
}

/* ---- words --------------------------------------------------------------------------------------
 */

/* As a person would set it: two digits. */
static double rounded(double x)
{
    const double unit = pow(10.0, floor(log10(x)) - 1.0);
    return unit * floor(x / unit + 0.5);
}

char *rinse_ways_programme(const struct rinse *r, char out[RINSE_WORDS])
{
    char a[SCREEN_CELL], b[SCREEN_CELL];
    out[0] = '\0';
    if (r->at_start > 0.0)
        text_append(out, RINSE_WORDS, "%s at start", screen_span(rounded(r->at_start), a));
    if (isfinite(r->every))
        text_append(out, RINSE_WORDS, "%s%s after every %s of making", out[0] ? ", " : "",
                    screen_span(rounded(r->every_for), a), screen_span(rounded(r->every), b));
    if (r->at_stop > 0.0)
        text_append(out, RINSE_WORDS, "%s%s at stop with %s", out[0] ? ", " : "",
                    screen_span(rounded(r->at_stop), a),
                    r->with == RINSE_PERMEATE ? "stored product" : "feed");
    if (r->divert > 0.0 || !isnan(r->divert_below))
        text_append(out, RINSE_WORDS, "%sthe first product to the drain for %s%s",
                    out[0] ? ", " : "", isnan(r->divert_below) ? "" : "at most ",
                    screen_span(rounded(r->divert), a));
    if (!out[0])
        text_append(out, RINSE_WORDS, "no rinse");
    return out;
}

static void put(char out[RINSE_WORDS], const char *key, double seconds)
{
    if (seconds > 0.0 && isfinite(seconds))
        text_append(out, RINSE_WORDS, " %s = \"%g s\";", key, rounded(seconds));
}

char *rinse_ways_group(const struct rinse *r, char out[RINSE_WORDS])
{
    snprintf(out, RINSE_WORDS, "control = {");
    put(out, "rinse_at_start", r->at_start);
    put(out, "rinse_at_stop", r->at_stop);
    if (r->with == RINSE_PERMEATE && r->at_stop > 0.0)
        text_append(out, RINSE_WORDS, " rinse_with = \"permeate\";");
    put(out, "rinse_every", r->every);
    put(out, "rinse_for", isfinite(r->every) ? r->every_for : 0.0);
    put(out, "divert", r->divert);
    text_append(out, RINSE_WORDS, " };");
    return out;
}

struct rinse_region rinse_ways_region(const struct rinse_map *m)
{
    const int bi = m->best_i, bj = m->best_j;
    const double most = RINSE_NEAR * m->cost[bi][bj];
    int i0 = bi, i1 = bi, j0 = bj, j1 = bj;
    while (i0 > 0 && m->cost[i0 - 1][bj] <= most)
        i0--;
    while (i1 + 1 < RINSE_MAP_I && m->cost[i1 + 1][bj] <= most)
        i1++;
    while (j0 > 0 && m->cost[bi][j0 - 1] <= most)
        j0--;
    while (j1 + 1 < RINSE_MAP_J && m->cost[bi][j1 + 1] <= most)
        j1++;
    return (struct rinse_region){ rinse_map_every(i0), rinse_map_every(i1), rinse_map_for(j0),
                                  rinse_map_for(j1) };
}

/* ---- candidates --------------------------------------------------------------------------------
 */

struct candidates {
    int count;
    enum rinse_way way[RINSE_WAYS * LENGTHS];
    struct rinse_task task[RINSE_WAYS * LENGTHS];
};

static void add(struct candidates *k, const struct rinse_found *f, enum rinse_way way,
                const struct rinse *programme)
{
    k->way[k->count] = way;
    k->task[k->count++] = (struct rinse_task){ .c = &f->c, .programme = *programme };
}

/* Keeps the cheapest of those that serve. */
static void keep(const struct rinse_found *f, struct rinse_try *best, const struct rinse_task *t)
{
    const double enough = f->way[RINSE_NONE].there ? f->way[RINSE_NONE].year.served : 0.0;
    const double money = rinse_map_money(&t->year, enough);
    if (t->year.served < SHORT * enough || (best->there && money >= best->money))
        return;
    *best = (struct rinse_try){ true, t->programme, t->year, money };
}

static enum status run(struct rinse_found *f, struct candidates *k, struct rinse_try best[],
                       const struct rinse_options *o)
{
    TRY(rinse_task_all(k->task, k->count, o));
    f->runs += k->count;
    for (int i = 0; i < k->count; i++)
        keep(f, &best[k->way[i]], &k->task[i]);
    return STATUS_OK;
}

/* Water that a rinse takes from the tank must lie between its switches. */
static double longest_with_permeate(const struct plant *p)
{
    const double between =
        tank_volume(&p->tank, p->fill.off_at) - tank_volume(&p->tank, p->fill.on_at);
    return p->rinse.flow > 0.0 ? BETWEEN * between / p->rinse.flow : 0.0;
}

static void add_lengths(struct candidates *k, const struct rinse_found *f)
{
    const struct plant *p = &f->c.plant;
    for (int n = 0; n < LENGTHS; n++) {
        const double length = rinse_map_for(STEP * n);
        struct rinse r = rinse_year_none(&p->rinse);
        r.at_start = length;
        add(k, f, RINSE_START, &r);
        r.at_start = 0.0;
        r.at_stop = length;
        add(k, f, RINSE_STOP, &r);
        r.with = RINSE_PERMEATE;
        if (length < longest_with_permeate(p))
            add(k, f, RINSE_STOP_PERMEATE, &r);
    }
}

static bool asks(const struct rinse *r)
{
    return r->at_start > 0.0 || r->at_stop > 0.0 || isfinite(r->every) || r->divert > 0.0 ||
           !isnan(r->divert_below);
}

/* ---- in turn -----------------------------------------------------------------------------------
 */

static enum status try_none(struct rinse_found *f, struct candidates *k,
                            const struct rinse_options *o)
{
    const struct rinse none = rinse_year_none(&f->c.plant.rinse);
    k->count = 0;
    add(k, f, RINSE_NONE, &none);
    return run(f, k, f->way, o);
}

static enum status try_lengths(struct rinse_found *f, struct candidates *k,
                               const struct rinse_options *o)
{
    k->count = 0;
    if (asks(&f->scenario->plant.rinse))
        add(k, f, RINSE_OWN, &f->scenario->plant.rinse);
    if (f->c.plant.fill.switches) /* else a run hardly ever begins or ends */
        add_lengths(k, f);
    return run(f, k, f->way, o);
}

static enum status try_map(struct rinse_found *f, const struct rinse_options *o)
{
    struct rinse_map *m = &f->map;
    m->base = rinse_year_none(&f->c.plant.rinse);
    m->enough = f->way[RINSE_NONE].year.served;
    TRY(rinse_map_make(m, &f->c, o));
    f->runs += m->runs;
    if (m->best_i < 0)
        return STATUS_OK;
    struct rinse_try *t = &f->way[RINSE_EVERY];
    *t = (struct rinse_try){ true, m->base, m->year[m->best_i][m->best_j],
                             m->cost[m->best_i][m->best_j] };
    t->programme.every = rinse_map_every(m->best_i);
    t->programme.every_for = rinse_map_for(m->best_j);
    return STATUS_OK;
}

static void stretch(struct rinse *r, double factor)
{
    r->at_start *= factor;
    r->at_stop *= factor;
    r->every_for *= factor;
}

static bool pays_alone(const struct rinse_found *f, const struct rinse_try *t)
{
    return t->there && t->money < f->way[RINSE_NONE].money;
}

/* The best at start, at stop and every so often that pay, two or three of them at once; each does a
 * part of the work, so shorter too. */
static enum status try_together(struct rinse_found *f, struct candidates *k,
                                const struct rinse_options *o)
{
    const struct rinse_try *a = &f->way[RINSE_START], *e = &f->way[RINSE_EVERY];
    const struct rinse_try *feed = &f->way[RINSE_STOP], *own = &f->way[RINSE_STOP_PERMEATE];
    const struct rinse_try *z = own->there && own->money < feed->money ? own : feed;
    enum { START = 1, STOP = 2, EVERY = 4, ALL = 8, SHORTER = 3 };
    k->count = 0;
    for (int set = START | STOP; set < ALL; set++) {
        const bool one = set == EVERY;
        if (one || ((set & START) && !pays_alone(f, a)) || ((set & STOP) && !pays_alone(f, z)) ||
            ((set & EVERY) && !pays_alone(f, e)))
            continue;
        struct rinse r = rinse_year_none(&f->c.plant.rinse);
        r.at_start = set & START ? a->programme.at_start : 0.0;
        r.at_stop = set & STOP ? z->programme.at_stop : 0.0;
        r.with = set & STOP ? z->programme.with : RINSE_FEED;
        r.every = set & EVERY ? e->programme.every : INFINITY;
        r.every_for = set & EVERY ? e->programme.every_for : 0.0;
        for (int i = 0; i < SHORTER; i++) {
            add(k, f, RINSE_TOGETHER, &r);
            stretch(&r, 0.5);
        }
    }
    return run(f, k, f->way, o);
}

static enum status try_diverting(struct rinse_found *f, struct candidates *k,
                                 const struct rinse_options *o)
{
    k->count = 0;
    for (int way = 0; way < RINSE_WAYS; way++)
        for (int d = 0; d < DIVERTS && f->way[way].there && way != RINSE_OWN; d++) {
            struct rinse r = f->way[way].programme;
            r.divert = divert_for[d];
            add(k, f, (enum rinse_way)way, &r);
        }
    return f->c.plant.fill.switches ? run(f, k, f->diverting, o) : STATUS_OK;
}

/* ---- the best ----------------------------------------------------------------------------------
 */

static double money_of(const struct rinse_try *t)
{
    return t->there ? t->money : INFINITY;
}

/* The cheapest; what takes more trouble must be worth it. */
static void choose(struct rinse_found *f)
{
    double least = INFINITY;
    enum rinse_way way = RINSE_EVERY;
    for (int w = RINSE_START; w < RINSE_WAYS; w++) {
        const double money = fmin(money_of(&f->way[w]), money_of(&f->diverting[w]));
        const double must = w == RINSE_TOGETHER ? WORTH_MORE * least : least;
        if (money < must) {
            least = money;
            way = (enum rinse_way)w;
        }
    }
    const double none = f->way[RINSE_NONE].money, without = money_of(&f->diverting[RINSE_NONE]);
    if (without < WORTH_DIVERT * none && without <= least) {
        least = without;
        way = RINSE_NONE;
    }
    f->best_diverts = money_of(&f->diverting[way]) < WORTH_DIVERT * money_of(&f->way[way]) &&
                      f->diverting[way].there;
    f->subject = f->best_diverts ? f->diverting[way] : f->way[way];
    f->pays = f->subject.money < WORTH * none;
    f->best = way;
}

/* ---- beside the best ---------------------------------------------------------------------------
 */

static enum status try_beside(struct rinse_found *f, const struct rinse_options *o)
{
    static const double interval[] = { 0.25, 4.0 }, length[] = { 0.5, 2.0 };
    struct rinse_task task[RINSE_BESIDES + RINSE_DRAINS] = { { 0 } };
    const struct rinse *r = &f->subject.programme;
    for (int i = 0; i < RINSE_BESIDES + RINSE_DRAINS; i++) {
        task[i].c = &f->c;
        task[i].programme = *r;
        if (i < 2)
            task[i].programme.every *= interval[i];
        else if (i < RINSE_BESIDES)
            stretch(&task[i].programme, length[i - 2]);
        else
            task[i].programme.bypass = drains[i - RINSE_BESIDES];
    }
    TRY(rinse_task_all(task, RINSE_BESIDES + RINSE_DRAINS, o));
    f->runs += RINSE_BESIDES + RINSE_DRAINS;
    for (int i = 0; i < RINSE_BESIDES + RINSE_DRAINS; i++) {
        struct rinse_try *t = i < RINSE_BESIDES ? &f->beside[i] : &f->drain[i - RINSE_BESIDES];
        const bool fits = task[i].programme.every_for < task[i].programme.every;
        *t = (struct rinse_try){ fits && (i >= 2 || isfinite(r->every)), task[i].programme,
                                 task[i].year,
                                 rinse_map_money(&task[i].year, f->way[RINSE_NONE].year.served) };
    }
    return STATUS_OK;
}

enum status rinse_ways(struct rinse_found *f, const struct rinse_options *o)
{
    struct candidates *k = calloc(1, sizeof *k);
    if (!k)
        return STATUS_MEMORY;
    enum status status = try_none(f, k, o);
    if (status == STATUS_OK)
        status = try_lengths(f, k, o);
    if (status == STATUS_OK)
        status = try_map(f, o);
    if (status == STATUS_OK)
        status = try_together(f, k, o);
    if (status == STATUS_OK)
        status = try_diverting(f, k, o);
    free(k);
    if (status != STATUS_OK)
        return status;
    choose(f);
    return try_beside(f, o);
}
