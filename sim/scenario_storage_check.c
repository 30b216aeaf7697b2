/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_storage_check: whether what was said of the storage fits together.
 */
#include <math.h>
#include <stdio.h>

#include "amount.h"
#include "scenario_storage.h"

/* The node of a key, or the group if it was left out. */
static const struct node *at_key(const struct node *group, const char *key)
{
    const struct node *n = reader_find(group, key);
    return n != NULL ? n : group;
}

static void complain(struct loading *l, const struct node *group, const char *key, const char *cure,
                     const char *words)
{
    reader_complain(&l->reader, SEVERITY_ERROR, at_key(group, key), cure, "%s", words);
}

/* A solenoid without switches is always called: its timer counts on. */
static void check_timer(struct loading *l, const struct node *group, const struct fill *f)
{
    char span[UNITS_TEXT];
    if (f->run_timer && !f->switches)
        reader_complain(&l->reader, SEVERITY_WARNING, at_key(group, "shutoff"),
                        "add \"level switches\", or leave the run timer out",
                        "without level switches the call never ends: after %s the run timer shuts "
                        "the feed once and for all",
                        units_format(f->longest_run, DIM_TIME, span, sizeof span));
}

static void check_valve(struct loading *l, const struct node *group, const struct storage_form *f)
{
    const struct shutoff *v = &f->fill.shutoff;
    const struct node *n = at_key(group, "shutoff"), *said = tree_member(group, "valve");
    if (!f->fill.shutoff_valve) {
        if (said != NULL)
            complain(l, group, "valve", "add \"automatic shut-off valve\" to shutoff",
                     "a shut-off valve is described, but none is there");
        return;
    }
    if (v->reopen_ratio >= v->close_ratio)
        complain(l, said == NULL ? group : said,
                 tree_member(said, "reopen_ratio") != NULL ? "reopen_ratio" : "close_ratio",
                 "it opens again at a lower pressure, a tenth of the feed's below is usual",
                 "the shut-off valve would open again before it closes");
    if (!scenario_train_has_membrane(l))
        reader_complain(&l->reader, SEVERITY_ERROR, n,
                        "leave it out, or put a membrane in the train",
                        "an automatic shut-off valve needs a membrane, whose product closes it");
    if (!f->fill.float_valve)
        reader_complain(&l->reader, SEVERITY_WARNING, n, "add \"float valve\"",
                        "nothing shuts the product, so that the shut-off valve never closes");
    if (!f->check_valve)
        reader_complain(&l->reader, SEVERITY_WARNING, at_key(group, "check_valve"),
                        "an event may say it: part = \"check valve\"; mode = \"leaks back\";",
                        "without a check valve a shut-off valve opens again and again; the run "
                        "takes the line as tight");
}

void scenario_storage_check_shutoff(struct loading *l, const struct node *group,
                                    const struct storage_form *f)
{
    check_timer(l, group, &f->fill);
    check_valve(l, group, f);
}

/* A bladder that could never take water: the least pressure of its air over the most of the line.
 */
static bool stays_empty(const struct loading *l, const struct storage_form *f)
{
    const struct plant *p = &l->out->plant;
    for (int k = 0; k < p->stages; k++)
        if (p->train[k].kind == &stage_pump)
            return false; /* what it adds is not known here */
    const double share = f->fill.shutoff_valve ? f->fill.shutoff.close_ratio : 1.0;
    const double check = f->check_valve ? f->line.check_opening : 0.0;
    return f->bladder.precharge >= share * cycle_highest(&p->feed.pressure) - check;
}

void scenario_storage_check_bladder(struct loading *l, const struct node *group,
                                    const struct storage_form *f)
{
    static const double STRONGEST = 1.6e6; /* Pa: more than any supply */
    const struct node *n = tree_member(group, "bladder");
    if (n == NULL)
        return;
    if (!scenario_train_has_membrane(l))
        reader_complain(&l->reader, SEVERITY_ERROR, n,
                        "leave it out, or put a membrane in the train",
                        "a bladder tank needs a membrane, whose product fills it");
    if (bladder_pressure(&f->bladder, f->bladder.first) > STRONGEST)
        complain(l, n, "first", "make first smaller; half the volume is usual when full",
                 "the bladder tank cannot hold so much water at the start");
    if (!f->fill.float_valve)
        reader_complain(&l->reader, SEVERITY_WARNING, n, "add \"float valve\" to shutoff",
                        "nothing shuts the product, so that the bladder tank hardly fills");
    if (!f->check_valve)
        reader_complain(&l->reader, SEVERITY_WARNING, at_key(group, "check_valve"),
                        "an event may say it: part = \"check valve\"; mode = \"leaks back\";",
                        "without a check valve a bladder tank runs back through the membrane; the "
                        "run takes the line as tight");
    if (l->out->plant.stages > 0 && stays_empty(l, f))
        reader_complain(&l->reader, SEVERITY_WARNING, at_key(n, "precharge"),
                        "let air out of it, until its precharge is well below the pressure of the "
                        "product",
                        "the bladder tank never takes water: %s",
                        f->fill.shutoff_valve
                            ? "the shut-off valve closes before the product comes to its precharge"
                            : "its precharge is above the feed pressure");
}

static bool said(const struct node *group, const char *key)
{
    return reader_find(group, key) != NULL;
}

void scenario_storage_check_overflow(struct loading *l, const struct node *group,
                                     const struct storage_form *f)
{
    if (f->overflow == OVERFLOW_NONE && !isnan(f->tank.overflow.lip))
        complain(l, group, "overflow_lip", "write overflow = \"standpipe\"; or \"side\"",
                 "an overflow is described, but none is there");
}

/* Warns of a float valve that shuts elsewhere than where filling is said to stop. */
static void check_float(struct loading *l, const struct node *group, const struct storage_form *f)
{
    char words[2][UNITS_TEXT];
    const bool apart = f->fill.float_valve && fabs(f->float_at - f->shuts_at) > 1e-9;
    if (!apart || (f->fill.switches && f->float_at > f->shuts_at))
        return;
    units_format(f->float_at, DIM_LENGTH, words[0], sizeof words[0]);
    units_format(f->shuts_at, DIM_LENGTH, words[1], sizeof words[1]);
    if (f->fill.switches)
        reader_complain(
            &l->reader, SEVERITY_WARNING, at_key(group, "float_at"),
            "put float_at above shuts_at, or shuts_at below float_at",
            "the float valve shuts at %s, so that the stop switch at %s is never reached", words[0],
            words[1]);
    else
        reader_complain(&l->reader, SEVERITY_WARNING, at_key(group, "float_at"),
                        "leave float_at out, or make the two equal",
                        "without level switches the float valve alone stops the water: at %s, not "
                        "at the %s of shuts_at",
                        words[0], words[1]);
}

void scenario_storage_check_unused(struct loading *l, const struct section *s)
{
    const struct storage_form *f = s->base;
    const struct {
        bool used;
        const char *why, *keys[5];
    } rows[] = {
        { f->fill.float_valve,
          "no float valve is among shutoff",
          { "float_at", "float_band", "float_seat" } },
        { f->fill.high_switch,
          "no high switch is among shutoff",
          { "high_at", "high_switch_latches" } },
        { f->fill.high_switch || f->fill.switches,
          "no switch is among shutoff",
          { "switch_band" } },
        { f->fill.run_timer,
          "no run timer is among shutoff",
          { "longest_run", "run_timer_latches", "run_timer_restarts" } },
        { f->fill.leak_sensor,
          "no leak sensor is among shutoff",
          { "leak_volume", "leak_sensor_latches" } },
        { f->fill.drip_pan, "no drip pan is among shutoff", { "pan_volume" } },
        { f->check_valve, "check_valve is false", { "check_opening" } },
        { f->overflow != OVERFLOW_NONE,
          "there is no overflow",
          { "overflow_bore", "overflow_fall", "overflow_length", "overflow_meniscus" } },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (int k = 0; k < 5 && rows[i].keys[k] != NULL && !rows[i].used; k++)
            reader_unused(&l->reader, s, rows[i].keys[k], rows[i].why);
}

void scenario_storage_check_levels(struct loading *l, const struct node *group,
                                   const struct storage_form *f)
{
    const double rim = f->tank.height, top = scenario_storage_top(f);
    const bool low = f->shuts_at <= top; /* else what follows from it is not to blame */
    const struct {
        const char *key;
        double level;
    } below_rim[] = { { "shuts_at", f->shuts_at },  { "float_at", f->float_at },
                      { "high_at", f->high_at },    { "overflow_lip", f->tank.overflow.lip },
                      { "outlet", f->tank.outlet }, { "first", f->first } };
    for (size_t i = 0; i < sizeof below_rim / sizeof *below_rim; i++)
        if (below_rim[i].level > rim && (f->shuts_at <= rim || said(group, below_rim[i].key))) {
            char cure[80];
            snprintf(cure, sizeof cure, "the rim stands at %.4g %s",
                     amount_number(AMOUNT_LEVEL, 100.0 * rim), amount_unit(AMOUNT_LEVEL));
            reader_complain(&l->reader, SEVERITY_ERROR, at_key(group, below_rim[i].key), cure,
                            "%s lies above the rim of the tank", below_rim[i].key);
        }
    if (f->opens_at >= f->shuts_at)
        complain(l, group, "opens_at", "opens_at is the lower level, where filling begins",
                 "filling would begin above the level where it stops");
    if (f->fill.high_switch && f->high_at <= f->shuts_at && (low || said(group, "high_at")))
        complain(l, group, "high_at", "put it between shuts_at and the rim",
                 "the high switch does not lie above shuts_at and would trip at every fill");
    check_float(l, group, f);
    if (f->overflow != OVERFLOW_NONE && f->tank.overflow.lip <= f->shuts_at) {
        char cure[80], gap[AMOUNT_CELL];
        snprintf(cure, sizeof cure, "put it at least %s above shuts_at",
                 amount_words(AMOUNT_THIN, 25.0, 0, gap));
        complain(l, group, "overflow_lip", cure, "the overflow would run before the tank is full");
    }
    if (f->tank.outlet >= f->shuts_at)
        complain(l, group, "outlet", NULL, "the outlet lies above the level where filling stops");
    else if (f->fill.switches && f->tank.outlet > f->opens_at)
        reader_complain(&l->reader, SEVERITY_WARNING, at_key(group, "outlet"),
                        "put the outlet, or what sucks there, below opens_at",
                        "the outlet lies above the level where filling begins: once drawn down to "
                        "it, the tank is never filled again");
}
