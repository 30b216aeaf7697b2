/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * pump: a small diaphragm booster; head falls in a straight line with flow, dP = dP0 (1 - Q/Q0),
 * its bypass caps the outlet pressure, a switch stops it when the inlet is too low.
 * Page: docs/pump.md.
 *
 * Assumes: smooth delivery, no wear, and valves that let water run through when it stands.
 */
#include "pump.h"

#include <math.h>
#include <stddef.h>

#include "stage.h"

double pump_head(const struct pump *p, double flow, double inlet_pressure)
{
    if (inlet_pressure < p->cut_out)
        return 0.0;

    const double curve = p->shut_head * (1.0 - flow / p->open_flow);
    const double room = p->bypass - inlet_pressure;

    return fmax(fmin(curve, room), 0.0);
}

double pump_power(const struct pump *p, double flow, double head)
{
    return p->idle_power + fmax(flow * head, 0.0) / p->efficiency;
}

static void start(const union stage_params *p, union stage_state *s)
{
    (void)p;
    (void)s; /* a pump remembers nothing */
}

static double pressure_drop(const union stage_params *p, const union stage_state *s, double flow,
                            const struct fluid *water, double inlet_pressure)
{
    (void)s;
    (void)water;
    return -pump_head(&p->pump, flow, inlet_pressure);
}

static void carry(const union stage_params *p, union stage_state *s, struct parcel *water,
                  const struct stage_passage *how, struct stage_exits *out)
{
    (void)p;
    (void)s;
    (void)water; /* passes unchanged */
    (void)how;
    (void)out;
}

static double held(const union stage_params *p, const union stage_state *s, enum species i)
{
    (void)p;
    (void)s;
    (void)i;
    return 0.0;
}

static double parcel_limit(const union stage_params *p, const union stage_state *s,
                           const double c[])
{
    (void)p;
    (void)s;
    (void)c;
    return INFINITY;
}

static double used(const union stage_params *p, const union stage_state *s)
{
    (void)p;
    (void)s;
    return 0.0;
}

static const struct field fields[] = {
    { .key = "shut_head",
      .type = FIELD_NUMBER,
      .dimension = DIM_PRESSURE,
      .offset = offsetof(struct pump, shut_head),
      .preset = 827371.0, /* 120 psi */
      .min = 1e3,
      .max = 5e6,
      .low = 2e5,
      .high = 1.2e6,
      .doc = "pressure that the pump adds at no flow",
      .source = "small diaphragm boosters, 120 psi; from memory, low confidence" },
    { .key = "open_flow",
      .type = FIELD_NUMBER,
      .dimension = DIM_FLOW,
      .offset = offsetof(struct pump, open_flow),
      .preset = 2.0e-3 / 60.0, /* 2 L/min */
      .min = 1e-7,
      .max = 1e-2,
      .low = 0.5e-3 / 60.0,
      .high = 10e-3 / 60.0,
      .doc = "flow at which the pump adds no pressure",
      .source = "small diaphragm boosters, 2 L/min; from memory, low confidence" },
    { .key = "bypass",
      .type = FIELD_NUMBER,
      .dimension = DIM_PRESSURE,
      .offset = offsetof(struct pump, bypass),
      .preset = 758423.0, /* 110 psi */
      .min = 1e4,
      .max = 5e6,
      .low = 4e5,
      .high = 1e6,
      .doc = "outlet pressure at which its bypass opens",
      .source = "internal bypass at 100 to 125 psi; from memory, low confidence" },
    { .key = "cut_out",
      .type = FIELD_NUMBER,
      .dimension = DIM_PRESSURE,
      .offset = offsetof(struct pump, cut_out),
      .preset = 51711.0, /* 7.5 psi */
      .min = -1e5,
      .max = 1e6,
      .low = 0.0,
      .high = 1.5e5,
      .doc = "inlet pressure below which the switch stops it",
      .source = "low-inlet switch at 5 to 10 psi; from memory, low confidence" },
    { .key = "efficiency",
      .type = FIELD_NUMBER,
      .dimension = DIM_NONE,
      .offset = offsetof(struct pump, efficiency),
      .preset = 0.5,
      .min = 0.01,
      .max = 1.0,
      .low = 0.2,
      .high = 0.8,
      .doc = "hydraulic power over the electric power above idle",
      .source = "assumption, chosen so that 24 V draws about 1 A at 80 psi (from memory)" },
    { .key = "idle_power",
      .type = FIELD_NUMBER,
      .dimension = DIM_POWER,
      .offset = offsetof(struct pump, idle_power),
      .preset = 8.0,
      .min = 0.0,
      .max = 1e3,
      .low = 0.0,
      .high = 50.0,
      .doc = "electric power drawn at no head",
      .source = "assumption, chosen so that 24 V draws about 1 A at 80 psi (from memory)" },
    { .key = NULL },
};

const struct stage_kind stage_pump = {
    .name = "pump",
    .title = "booster pump",
    .fields = fields,
    .start = start,
    .pressure_drop = pressure_drop,
    .carry = carry,
    .held = held,
    .parcel_limit = parcel_limit,
    .used = used,
};
