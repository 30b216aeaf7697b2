/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * recorder_once: the files of a run that are written once: limits, costs, the start-up pulse, the
 * balance.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cell.h"
#include "recorder.h"

static void limit_row(FILE *f, const char *key, double value)
{
    if (isfinite(value))
        fprintf(f, "%s,%.6g\n", key, value);
}

enum status recorder_limits(struct results *folder, const struct plant *p, const struct plan *plan)
{
    FILE *f = results_file(folder, "limits.csv");
    if (!f)
        return STATUS_IO;
    fputs("key,value\n", f);
    limit_row(f, "tank_rim_cm", 100.0 * p->tank.height);
    limit_row(f, "tank_outlet_cm", 100.0 * p->tank.outlet);
    limit_row(f, "fill_on_cm", p->fill.switches ? 100.0 * p->fill.on_at : NAN);
    limit_row(f, "fill_off_cm",
              p->fill.switches      ? 100.0 * p->fill.off_at
              : p->fill.float_valve ? 100.0 * p->fill.valve.shuts_at
                                    : NAN);
    limit_row(f, "overflow_lip_cm",
              p->tank.overflow.kind != OVERFLOW_NONE ? 100.0 * p->tank.overflow.lip : NAN);
    limit_row(f, "permeate_limit_ppm", 1e3 * plan->limits.permeate);
    limit_row(f, "product_limit_ppm", 1e3 * plan->limits.product);
    fputs("title,", f);
    cell_text(f, plan->title);
    fputc('\n', f);
    return STATUS_OK;
}

enum status recorder_cost(struct results *folder, const struct cost_row *rows, int count,
                          const char *currency)
{
    FILE *f = results_file(folder, "cost.csv");
    if (!f)
        return STATUS_IO;
    fputs("part,amount,currency\n", f);
    for (int i = 0; i < count; i++) {
        cell_text(f, rows[i].part);
        fprintf(f, ",%.4f,", rows[i].amount);
        cell_text(f, currency);
        fputc('\n', f);
    }
    return STATUS_OK;
}

/* ---- the start-up pulse ------------------------------------------------------------------------
 */

enum { PULSE_SECONDS = 300, PULSE_STEP = 4 };

/* One run of five minutes after a rest, a parcel every four seconds; what is read of it is its
 * mean, and belongs to its middle. */
static void pulse_block(FILE *f, const struct plant *p, struct parcel feed, double made,
                        double rest)
{
    const struct stage *m = &p->train[p->membrane];
    union stage_state state;
    m->kind->start(&m->params, &state);
    feed.duration = 3600.0;
    feed.volume *= feed.duration;
    struct stage_passage how = { .permeate_volume = made * feed.duration };
    struct stage_exits exits = { 0 };
    struct parcel water = feed;
    m->kind->carry(&m->params, &state, &water, &how, &exits);
    membrane_rest(&m->params.membrane, &state.membrane, feed.temperature, rest);
    for (int t = 0; t < PULSE_SECONDS; t += PULSE_STEP) {
        water = feed;
        water.duration = PULSE_STEP;
        water.volume = feed.volume / feed.duration * PULSE_STEP;
        how.permeate_volume = made * PULSE_STEP;
        m->kind->carry(&m->params, &state, &water, &how, &exits);
        const struct speciation forms = water_speciate(water.c, 25.0);
        const double shown = p->meter.factor * water_conductivity(water.c, &forms);
        fprintf(f, "%d,%.3f,%.3g\n", t + PULSE_STEP / 2, 1e3 * shown, rest / 3600.0);
    }
}

enum status recorder_pulse(struct results *folder, const struct plant *p)
{
    static const double REST[] = { 0.25, 1.0, 8.0, 24.0 }; /* h */
    if (p->membrane < 0)
        return STATUS_OK;
    FILE *f = results_file(folder, "pulse.csv");
    if (!f)
        return STATUS_IO;
    struct state *s = calloc(1, sizeof *s);
    if (!s)
        return STATUS_MEMORY;
    plant_start(p, s);
    const struct signals sig = plant_filling(p, s);
    struct parcel feed = { .volume = sig.feed_flow, .temperature = sig.feed_temperature };
    const struct feed_now now = feed_at(&p->feed, 0.0);
    memcpy(feed.c, now.c, sizeof feed.c);
    free(s);
    fputs("second,permeate_ppm,rest_h\n", f);
    for (size_t i = 0; i < sizeof REST / sizeof REST[0] && sig.feed_flow > 0.0; i++) {
        if (i > 0)
            fputs("\n\n", f);
        pulse_block(f, p, feed, sig.product_flow, 3600.0 * REST[i]);
    }
    return STATUS_OK;
}

enum status recorder_balance(struct results *folder, const struct balance_row *rows)
{
    FILE *f = results_file(folder, "balance.csv");
    if (!f)
        return STATUS_IO;
    fputs("what,unit,held_at_start,in", f);
    for (int e = 0; e < EXIT_COUNT; e++) {
        fputs(",out_", f);
        for (const char *c = exit_name[e]; *c; c++)
            fputc(*c == ' ' ? '_' : *c, f);
    }
    fputs(",destroyed,held_at_end,relative_error\n", f);
    for (int i = 0; i < BALANCE_ROWS; i++) {
        const struct balance_row *r = &rows[i];
        fprintf(f, "%s,%s,%.12g,%.12g", r->name, r->unit, r->start, r->in);
        for (int e = 0; e < EXIT_COUNT; e++)
            fprintf(f, ",%.12g", r->out[e]);
        fprintf(f, ",%.12g,%.12g,%.3g\n", r->destroyed, r->held, r->error);
    }
    return STATUS_OK;
}
