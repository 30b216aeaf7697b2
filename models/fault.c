/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * fault: the named ways in which parts fail, as data.  Page: docs/plant.md.
 * A row names a number in settings and what the failure puts there; nothing else knows of faults.
 * How often each happens stands in sim/rates.c, which needs a row for every row here.
 */
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "plant.h"

#define HEALTH(member) offsetof(struct settings, health.member)

const struct fault_mode fault_modes[] = {
    { "feed solenoid", "sticks open", HEALTH(solenoid), 1.0, WORKS, 0.0 },
    { "feed solenoid", "sticks shut", HEALTH(solenoid), 0.0, WORKS, 0.0 },
    { "feed solenoid", "weeps", HEALTH(solenoid_weep), NAN, 0.0, 1e-3 },
    { "float valve", "sticks open", HEALTH(float_valve), 1.0, WORKS, 0.0 },
    { "float valve", "sticks shut", HEALTH(float_valve), 0.0, WORKS, 0.0 },
    { "float valve", "sticks part open", HEALTH(float_valve), NAN, WORKS, 0.1 },
    { "float valve", "weeps", HEALTH(float_weep), NAN, 0.0, 1e-3 },
    { "start switch", "shows dry", HEALTH(low_switch), 0.0, WORKS, 0.0 },
    { "start switch", "shows wet", HEALTH(low_switch), 1.0, WORKS, 0.0 },
    { "stop switch", "shows dry", HEALTH(high_switch), 0.0, WORKS, 0.0 },
    { "stop switch", "shows wet", HEALTH(high_switch), 1.0, WORKS, 0.0 },
    { "high switch", "shows dry", HEALTH(guard_switch), 0.0, WORKS, 0.0 },
    { "high switch", "shows wet", HEALTH(guard_switch), 1.0, WORKS, 0.0 },
    { "top-off switch", "shows dry", HEALTH(topoff_switch), 0.0, WORKS, 0.0 },
    { "top-off switch", "shows wet", HEALTH(topoff_switch), 1.0, WORKS, 0.0 },
    { "leak sensor", "dead", HEALTH(leak_sensor), 0.0, WORKS, 0.0 },
    { "leak sensor", "shows wet", HEALTH(leak_sensor), 1.0, WORKS, 0.0 },
    { "run timer", "never ends", HEALTH(run_timer), 0.0, WORKS, 0.0 },
    { "booster pump", "dead", HEALTH(booster), 0.0, WORKS, 0.0 },
    { "top-off pump", "dead", HEALTH(topoff_pump), 0.0, WORKS, 0.0 },
    { "top-off pump", "does not stop", HEALTH(topoff_pump), 1.0, WORKS, 0.0 },
    { "controller", "hangs off", HEALTH(controller), 0.0, WORKS, 0.0 },
    { "controller", "hangs on", HEALTH(controller), 1.0, WORKS, 0.0 },
    { "shut-off valve", "never closes", HEALTH(shutoff_valve), 0.0, WORKS, 0.0 },
    { "check valve", "leaks back", HEALTH(check_valve), NAN, WORKS, 1e-6 / 60.0 },
    { "overflow pipe", "blocked", HEALTH(overflow_open), NAN, 1.0, 0.0 },
    { "drain line", "kinked", HEALTH(drain_open), NAN, 1.0, 0.0 },
    { "low pressure switch", "shows low", HEALTH(inlet_switch), 0.0, WORKS, 0.0 },
    { "low pressure switch", "never trips", HEALTH(inlet_switch), 1.0, WORKS, 0.0 },
    { "bladder tank", "waterlogged", HEALTH(bladder), 0.0, WORKS, 0.0 },
    { "bladder tank", "loses its air", HEALTH(bladder_air), NAN, 1.0, 0.0 },
    { "siphon break", "blocked", HEALTH(siphon_break), 0.0, WORKS, 0.0 },
    { "supply pressure", "surges", HEALTH(surge), NAN, 0.0, 0.5 },
    { "guard valve", "sticks open", HEALTH(guard_valve), 1.0, WORKS, 0.0 },
    { "guard valve", "sticks shut", HEALTH(guard_valve), 0.0, WORKS, 0.0 },
    { "top-off high switch", "shows dry", HEALTH(topoff_high), 0.0, WORKS, 0.0 },
    { "top-off high switch", "shows wet", HEALTH(topoff_high), 1.0, WORKS, 0.0 },
    { "hand valve", "left shut", HEALTH(hand_valve), 0.0, WORKS, 0.0 },
    { "top-off float", "sticks open", HEALTH(topoff_pump), 1.0, WORKS, 0.0 },
    { "top-off float", "sticks shut", HEALTH(topoff_pump), 0.0, WORKS, 0.0 },
    { "top-off float", "sticks part open", HEALTH(topoff_pump), NAN, WORKS, 0.1 },
    { NULL, NULL, 0, 0.0, 0.0, 0.0 },
};

static bool plant_has_booster(const struct plant *p)
{
    for (int i = 0; i < p->stages; i++)
        if (p->train[i].kind == &stage_pump)
            return true;
    return false;
}

bool fault_applies(const struct plant *p, const struct fault_mode *m)
{
    const struct {
        const char *part;
        bool there;
    } parts[] = {
        { "feed solenoid", plant_has_solenoid(p) },
        { "float valve", p->fill.float_valve },
        { "start switch", p->fill.switches },
        { "stop switch", p->fill.switches },
        { "high switch", p->fill.high_switch },
        { "top-off switch", p->topoff.kind == TOPOFF_PUMP },
        { "top-off high switch", p->topoff.kind == TOPOFF_PUMP && !isnan(p->topoff.high_at) },
        { "leak sensor", p->fill.leak_sensor },
        { "run timer", p->fill.run_timer },
        { "booster pump", plant_has_booster(p) },
        { "top-off pump", p->topoff.kind == TOPOFF_PUMP },
        { "top-off float", p->topoff.kind == TOPOFF_FLOAT },
        { "controller", p->fill.switches },
        { "shut-off valve", p->fill.shutoff_valve },
        { "check valve", p->fill.shutoff_valve || p->has_bladder },
        { "overflow pipe", p->tank.overflow.kind != OVERFLOW_NONE },
        { "drain line", p->membrane >= 0 },
        { "low pressure switch", p->fill.low_pressure_switch },
        { "bladder tank", p->has_bladder },
        { "siphon break",
          p->topoff.kind == TOPOFF_PUMP && p->topoff.siphon_break && isfinite(p->topoff.hose_end) },
        { "supply pressure", true },
        { "guard valve", p->fill.guard_valve },
        { "hand valve", true },
    };
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        if (strcmp(m->part, parts[i].part) == 0)
            return parts[i].there;
    return false;
}
