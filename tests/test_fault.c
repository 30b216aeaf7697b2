/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * fault: which faults a plant can have, by each part that may be missing; and that a mode does what
 * its words say.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "models/plant.h"
#include "models/stage.h"

/* With every part that any fault is of. */
static struct plant whole(void)
{
    struct plant p;
    memset(&p, 0, sizeof p);
    p.stages = 2;
    p.train[0].kind = &stage_pump;
    p.train[1].kind = &stage_membrane;
    p.membrane = 1;
    p.fill = (struct fill){ .switches = true,
                            .float_valve = true,
                            .shutoff_valve = true,
                            .high_switch = true,
                            .run_timer = true,
                            .leak_sensor = true,
                            .low_pressure_switch = true,
                            .guard_valve = true };
    p.tank.overflow.kind = OVERFLOW_STANDPIPE;
    p.has_bladder = true;
    p.topoff = (struct topoff){
        .kind = TOPOFF_PUMP, .siphon_break = true, .hose_end = 0.1, .high_at = 0.01
    };
    return p;
}

/* Takes a part away; what then cannot fail any more. */
struct lack {
    const char *part; /* NULL ends the list */
    void (*take)(struct plant *p);
};

static void no_switches(struct plant *p)
{
    p->fill.switches = false;
}
static void no_float(struct plant *p)
{
    p->fill.float_valve = false;
}
static void no_high(struct plant *p)
{
    p->fill.high_switch = false;
}
static void no_topoff(struct plant *p)
{
    p->topoff.kind = TOPOFF_NONE;
}
static void gravity(struct plant *p)
{
    p->topoff.kind = TOPOFF_FLOAT;
}
static void no_second(struct plant *p)
{
    p->topoff.high_at = NAN;
}
static void no_leak(struct plant *p)
{
    p->fill.leak_sensor = false;
}
static void no_timer(struct plant *p)
{
    p->fill.run_timer = false;
}
static void no_booster(struct plant *p)
{
    p->train[0].kind = &stage_sediment;
}
static void no_shutoff(struct plant *p)
{
    p->fill.shutoff_valve = false;
}
static void no_check(struct plant *p)
{
    p->fill.shutoff_valve = p->has_bladder = false;
}
static void no_overflow(struct plant *p)
{
    p->tank.overflow.kind = OVERFLOW_NONE;
}
static void no_membrane(struct plant *p)
{
    p->membrane = -1;
}
static void no_pressure(struct plant *p)
{
    p->fill.low_pressure_switch = false;
}
static void no_bladder(struct plant *p)
{
    p->has_bladder = false;
}
static void no_break(struct plant *p)
{
    p->topoff.siphon_break = false;
}
static void no_hose(struct plant *p)
{
    p->topoff.hose_end = NAN;
}
static void no_guard(struct plant *p)
{
    p->fill.guard_valve = false;
}
static void no_solenoid(struct plant *p)
{
    p->fill.switches = p->fill.run_timer = p->fill.low_pressure_switch = false;
}

static const struct lack lacks[] = {
    { "start switch", no_switches },
    { "stop switch", no_switches },
    { "controller", no_switches },
    { "float valve", no_float },
    { "high switch", no_high },
    { "top-off switch", no_topoff },
    { "top-off switch", gravity },
    { "top-off pump", gravity },
    { "top-off float", no_topoff },
    { "top-off high switch", gravity },
    { "top-off high switch", no_second },
    { "siphon break", gravity },
    { "siphon break", no_break },
    { "siphon break", no_hose },
    { "leak sensor", no_leak },
    { "run timer", no_timer },
    { "booster pump", no_booster },
    { "shut-off valve", no_shutoff },
    { "check valve", no_check },
    { "overflow pipe", no_overflow },
    { "drain line", no_membrane },
    { "low pressure switch", no_pressure },
    { "bladder tank", no_bladder },
    { "guard valve", no_guard },
    { "feed solenoid", no_solenoid },
    { NULL, NULL },
};

Test(fault, applies_to_every_part_that_is_there)
{
    const struct plant p = whole();
    struct plant q = whole(); /* by gravity: the two ways of topping off are never there together */
    gravity(&q);
    for (const struct fault_mode *m = fault_modes; m->part; m++) {
        const bool by_float = strcmp(m->part, "top-off float") == 0;
        cr_expect(fault_applies(by_float ? &q : &p, m), "%s %s", m->part, m->mode);
        cr_expect(!by_float || !fault_applies(&p, m), "%s %s", m->part, m->mode);
    }
}

Test(fault, applies_to_no_part_that_is_missing)
{
    for (const struct lack *l = lacks; l->part; l++) {
        struct plant p = whole();
        l->take(&p);
        int seen = 0;
        for (const struct fault_mode *m = fault_modes; m->part; m++) {
            if (strcmp(m->part, l->part) != 0)
                continue;
            cr_expect_not(fault_applies(&p, m), "%s %s", m->part, m->mode);
            seen++;
        }
        cr_expect_gt(seen, 0, "%s has no fault", l->part);
    }
}

/* A check valve stands in either line; a guard valve takes high switch and leak sensor from the
 * solenoid. */
Test(fault, applies_where_one_of_two_reasons_is_left)
{
    for (const struct fault_mode *m = fault_modes; m->part; m++) {
        struct plant p = whole();
        if (strcmp(m->part, "check valve") == 0) {
            no_bladder(&p);
            cr_expect(fault_applies(&p, m));
            p = whole();
            no_shutoff(&p);
            cr_expect(fault_applies(&p, m));
        } else if (strcmp(m->part, "feed solenoid") == 0) {
            no_solenoid(&p);
            no_guard(&p);
            cr_expect(fault_applies(&p, m), "for high switch and leak sensor");
        }
    }
}

Test(fault, of_an_unknown_part_applies_to_nothing)
{
    const struct plant p = whole();
    const struct fault_mode m = { "anchor", "drags", 0, 1.0, WORKS, 0.0 };
    cr_assert_not(fault_applies(&p, &m));
}

/* What a word of a mode stands for, wherever it stands. */
Test(fault, modes_mean_what_their_words_say)
{
    static const struct {
        const char *mode;
        double value;
    } words[] = {
        { "sticks open", 1.0 }, { "sticks shut", 0.0 },  { "shows dry", 0.0 },
        { "shows wet", 1.0 },   { "dead", 0.0 },         { "hangs off", 0.0 },
        { "hangs on", 1.0 },    { "never closes", 0.0 }, { "shows low", 0.0 },
        { "never trips", 1.0 }, { "left shut", 0.0 },    { "does not stop", 1.0 },
        { "never ends", 0.0 },  { "waterlogged", 0.0 },
    };
    for (size_t k = 0; k < sizeof words / sizeof *words; k++) {
        int seen = 0;
        for (const struct fault_mode *m = fault_modes; m->part; m++) {
            if (strcmp(m->mode, words[k].mode) != 0)
                continue;
            cr_expect_eq(m->value, words[k].value, "%s %s is %g", m->part, m->mode, m->value);
            seen++;
        }
        cr_expect_gt(seen, 0, "nothing %s", words[k].mode);
    }
}
