/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of models/pump.c: its straight line, what caps it, what stops it.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/pump.h"
#include "models/stage.h"
#include "tests/at.h"

static const struct pump PUMP = { .shut_head = 8e5,
                                  .open_flow = 3e-5,
                                  .bypass = 7e5,
                                  .cut_out = 5e4,
                                  .efficiency = 0.5,
                                  .idle_power = 8.0 };

Test(pump, head_is_a_straight_line_in_flow)
{
    const double inlet = 1e5;
    cr_expect_eq(pump_head(&PUMP, 3e-5, inlet), 0.0);
    cr_expect_float_eq(pump_head(&PUMP, 1.5e-5, inlet), 4e5, 1e-6);
    cr_expect_float_eq(pump_head(&PUMP, 2.25e-5, inlet), 2e5, 1e-6);
}

Test(pump, bypass_caps_the_outlet_pressure)
{
    for (double inlet = 5e4; inlet < 1e6; inlet += 1e4)
        for (double flow = 0.0; flow < 5e-5; flow += 1e-6) {
            const double head = pump_head(&PUMP, flow, inlet);
            cr_assert_geq(head, 0.0);
            cr_assert(head == 0.0 || inlet + head <= PUMP.bypass * (1.0 + 1e-12), "%g Pa, %g m3/s",
                      inlet, flow);
        }
    cr_expect_float_eq(pump_head(&PUMP, 0.0, 3e5), 4e5, 1e-6);
}

Test(pump, head_falls_with_flow)
{
    for (double inlet = 0.0; inlet < 8e5; inlet += 1e5)
        for (double flow = 0.0; flow < 4e-5; flow += 1e-6)
            cr_assert_leq(pump_head(&PUMP, flow + 1e-6, inlet), pump_head(&PUMP, flow, inlet));
}

Test(pump, stops_when_the_inlet_is_below_its_cut_out)
{
    cr_expect_eq(pump_head(&PUMP, 1e-5, 49999.0), 0.0);
    cr_expect_gt(pump_head(&PUMP, 1e-5, 50000.0), 0.0);
}

Test(pump, power_is_idle_power_and_hydraulic_power_over_efficiency)
{
    cr_expect_eq(pump_power(&PUMP, 0.0, 5e5), 8.0);
    cr_expect_float_eq(pump_power(&PUMP, 2e-5, 4e5), 24.0, 1e-9);
}

Test(pump, preset_power_is_that_of_24_volt_and_about_one_ampere)
{
    struct pump p;
    for (const struct field *f = stage_pump.fields; f->key; f++)
        *(double *)((char *)&p + f->offset) = f->preset;
    /* 0.8 to 1.0 L/min at 80 psi, 24 V and 0.8 to 1.2 A; from memory */
    const double inlet = 2.5e5, outlet = 80.0 * 6894.757;
    const double flow = p.open_flow * (1.0 - (outlet - inlet) / p.shut_head);
    cr_expect_float_eq(pump_head(&p, flow, inlet), outlet - inlet, 1e-6);
    const double power = pump_power(&p, 0.9e-3 / 60.0, outlet);
    cr_expect(power > 24.0 * 0.8 && power < 24.0 * 1.2, "%g W", power);
}

Test(pump, stage_adds_pressure_and_leaves_the_water_alone)
{
    const union stage_params p = { .pump = PUMP };
    union stage_state s;
    stage_pump.start(&p, &s);
    cr_expect_float_eq(stage_pump.pressure_drop(&p, &s, 1.5e-5, AT(20.0), 1e5), -4e5, 1e-6);
    struct parcel water = { .volume = 1e-3, .temperature = 20.0, .c = { [SODIUM] = 1.0 } };
    struct stage_exits out = { .nitrogen = 0.0 };
    stage_pump.carry(&p, &s, &water, &(struct stage_passage){ .starts = 0.0 }, &out);
    cr_expect_eq(water.volume, 1e-3);
    cr_expect_eq(water.c[SODIUM], 1.0);
    cr_expect_eq(out.drain.volume, 0.0);
    cr_expect_eq(stage_pump.held(&p, &s, SODIUM), 0.0);
    cr_expect(isinf(stage_pump.parcel_limit(&p, &s, water.c)));
}

Test(pump, fields_have_presets_within_their_ranges)
{
    for (const struct field *f = stage_pump.fields; f->key; f++)
        cr_expect(f->min <= f->low && f->low <= f->preset && f->preset <= f->high &&
                      f->high <= f->max,
                  "%s", f->key);
}
