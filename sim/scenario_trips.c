/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_trips: the low pressure switch of the group `storage`, and what is said of protections
 * that could never clear.
 */
#include "scenario_inner.h"

#include "text.h"

#define OPTIONAL FIELD_OPTIONAL

static const double RISE = 69e3; /* Pa from tripping to clearing, if nothing is said: 10 psi */

const struct field scenario_inlet_fields[] = {
    NUMBER("trips", DIM_PRESSURE, struct inlet_switch, trips, 69e3, 1e3, 1.6e6, 3e4, 2e5,
           "pressure below which it trips", "10 psi, common practice, from memory"),
    NUMBER("clears", DIM_PRESSURE, struct inlet_switch, clears, OPTIONAL, 1e3, 1.6e6, 6e4, 3e5,
           "pressure above which it shows enough again; 69 kPa above trips if left out", ""),
    NUMBER("delay", DIM_TIME, struct inlet_switch, delay, 3.0, 0.0, 3600.0, 0.0, 60.0,
           "time for which it must show low while the feed is open",
           "assumption: a dip of a second or two does not count"),
    NUMBER("wait", DIM_TIME, struct inlet_switch, wait, 600.0, 1.0, 2592000.0, 60.0, 86400.0,
           "time from a trip to the next try, if it does not latch",
           "assumption: 10 min, so that a pump that hunts starts six times an hour at most"),
    FLAG("latches", struct inlet_switch, latches, 0.0,
         "its trip lasts until reset, else until the pressure is back and the wait is over",
         "assumption: clears itself"),
    { .key = NULL },
};

static const struct stage_group inlet_group = { "low_pressure", scenario_inlet_fields, 0 };

/* ---- reading --------------------------------------------------------------------------------- */

static void complain(struct loading *l, enum severity severity, const struct node *n,
                     const char *cure, const char *words)
{
    reader_complain(&l->reader, severity, n, cure, "%s", words);
}

void scenario_inlet_read(struct loading *l, const struct node *storage, struct fill *fill)
{
    const struct node *said = tree_member(storage, "low_pressure");
    struct inlet_switch *s = &fill->inlet;
    if (!fill->low_pressure_switch) {
        if (said != NULL)
            complain(l, SEVERITY_ERROR, said, "add \"low pressure switch\" to shutoff",
                     "a low pressure switch is described, but none is there");
        return;
    }
    scenario_within_read(l, storage, "storage", &inlet_group, s);
    scenario_assume(l, &s->clears,
                    &(struct assumed){ "storage.low_pressure.clears", DIM_PRESSURE, s->trips + RISE,
                                       "assumption: 10 psi above trips" });
    if (s->clears > s->trips)
        return;
    const struct node *n = tree_member(said, "clears");
    complain(l, SEVERITY_ERROR, n != NULL ? n : said,
             "it clears at a higher pressure, 10 psi is usual",
             "the low pressure switch would clear before it trips");
}

void scenario_inlet_write(const struct fill *fill, FILE *out)
{
    if (fill->low_pressure_switch)
        scenario_within_write(&inlet_group, &fill->inlet, out);
}

/* ---- what can never clear -------------------------------------------------------------------- */

struct context {
    struct loading *l;
    const struct node *storage, *shutoff, *low; /* low: of its group, or shutoff */
    const struct fill *fill;
};

/* What holds the pressure against the highest that the supply ever has. */
static void check_pressure(const struct context *c)
{
    const struct inlet_switch *s = &c->fill->inlet;
    const struct scenario *out = c->l->out;
    const double highest = feed_highest_pressure(&out->plant.feed, out->plan.length);
    char has[UNITS_TEXT], needs[UNITS_TEXT];
    units_format(highest, DIM_PRESSURE, has, sizeof has);
    if (highest <= s->trips)
        reader_complain(&c->l->reader, SEVERITY_ERROR, c->low, "make trips lower",
                        "the supply never has more than %s: the low pressure switch, which trips "
                        "at %s, lets no water through",
                        has, units_format(s->trips, DIM_PRESSURE, needs, sizeof needs));
    else if (highest < s->clears && !s->latches)
        reader_complain(&c->l->reader, SEVERITY_WARNING, c->low, "make clears lower",
                        "the supply never has more than %s: once tripped, the low pressure switch "
                        "never clears at %s",
                        has, units_format(s->clears, DIM_PRESSURE, needs, sizeof needs));
}

/* A pump whose own switch stops it first no longer pulls the pressure down. */
static void check_cut_out(const struct context *c)
{
    const struct plant *p = &c->l->out->plant;
    const int place = plant_inlet_place(p);
    char words[UNITS_TEXT];
    if (place >= p->stages || p->train[place].kind != &stage_pump ||
        p->train[place].params.pump.cut_out < c->fill->inlet.trips)
        return;
    reader_complain(
        &c->l->reader, SEVERITY_WARNING, c->low, "make trips higher, or cut_out of the pump lower",
        "the pump's own switch stops it first, at %s, and the low pressure switch "
        "hardly ever trips",
        units_format(p->train[place].params.pump.cut_out, DIM_PRESSURE, words, sizeof words));
}

static const struct node *at(const struct context *c, const char *key)
{
    const struct node *n = reader_find(c->storage, key);
    return n != NULL ? n : c->shutoff;
}

static void check_self_clearing(const struct context *c)
{
    const struct fill *f = c->fill;
    if (f->leak_sensor && !f->leak_latches)
        complain(c->l, SEVERITY_WARNING, at(c, "leak_sensor_latches"),
                 "leave leak_sensor_latches out",
                 "what was spilled does not dry up in a run: a leak sensor that is to clear itself "
                 "does so only after a fault of its own");
    /* without level switches the call never ends: said with the timer itself */
    if (f->run_timer && !f->timer_latches && f->switches)
        complain(c->l, SEVERITY_NOTE, at(c, "run_timer_latches"),
                 "leave run_timer_latches out, and let a visit or an event reset it",
                 "the run timer clears when its call ends, and with the feed shut only a mended "
                 "switch or a power cut that forgets the call ends it");
}

/* A run timer that ends each run before any of its product goes to the tank. */
static void check_first_product(const struct context *c)
{
    const struct rinse *r = &c->l->out->plant.rinse;
    const double first = r->at_start + (isnan(r->divert_below) ? r->divert : 0.0); /* s */
    char span[2][UNITS_TEXT];
    if (!c->fill->run_timer || c->fill->longest_run > first)
        return;
    reader_complain(&c->l->reader, SEVERITY_ERROR, at(c, "longest_run"),
                    "make longest_run longer, or rinse_at_start and divert shorter",
                    "the run timer ends every run after %s, but its first product goes to the tank "
                    "after %s",
                    units_format(c->fill->longest_run, DIM_TIME, span[0], sizeof span[0]),
                    units_format(first, DIM_TIME, span[1], sizeof span[1]));
}

/* Whether a person ever resets anything. */
static bool somebody_resets(const struct plan *plan)
{
    for (int i = 0; i < plan->events; i++)
        if (plan->event[i].kind == EVENT_RESET)
            return true;
    return plan->visits.resets && isfinite(plan->visits.every);
}

static void note_latched(const struct context *c)
{
    const struct plant *p = &c->l->out->plant;
    const struct fill *f = c->fill;
    const struct {
        bool latches;
        const char *part;
    } rows[] = { { f->high_switch && f->high_latches, "high switch" },
                 { f->leak_sensor && f->leak_latches, "leak sensor" },
                 { f->run_timer && f->timer_latches, "run timer" },
                 { f->low_pressure_switch && f->inlet.latches, "low pressure switch" },
                 { p->topoff.kind == TOPOFF_PUMP && isfinite(p->topoff.longest_run) &&
                       p->topoff.latches,
                   "longest run of the top-off" } };
    char parts[200] = "";
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].latches)
            text_append(parts, sizeof parts, "%s%s", parts[0] == '\0' ? "" : ", ", rows[i].part);
    if (parts[0] == '\0' || somebody_resets(&c->l->out->plan))
        return;
    reader_complain(&c->l->reader, SEVERITY_NOTE, c->shutoff,
                    "visits = { every = \"7 days\"; resets = true; }; or an event \"reset\"",
                    "nobody resets what latches: after its first trip it holds to the end of the "
                    "run (%s)",
                    parts);
}

void scenario_trips_check(struct loading *l)
{
    const struct node *storage = tree_member(l->root, "storage");
    const struct node *shutoff = tree_member(storage, "shutoff");
    if (storage == NULL || shutoff == NULL)
        return;
    const struct node *low = tree_member(storage, "low_pressure");
    const struct context c = { l, storage, shutoff, low != NULL ? low : shutoff,
                               &l->out->plant.fill };
    if (c.fill->low_pressure_switch) {
        check_pressure(&c);
        check_cut_out(&c);
    }
    check_self_clearing(&c);
    check_first_product(&c);
    note_latched(&c);
}
