/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * fixture: a plant and a plan to test with, made without any scenario file, and random valid ones.
 * All values here are invented.
 */
#ifndef TESTS_FIXTURE_H
#define TESTS_FIXTURE_H

#include "sim/run.h"

/* Sediment, carbon, 75 gal/day membrane, mixed bed; upright tank with level switches; served salt
 * water with pump top-off; steady feed of a middling hard water. */
struct plant fixture_plant(void);

/* `days` of it, ten-minute records, one draw of 40 L every ten days. */
struct plan fixture_plan(double days);

/* Puts every preset of a table into a struct. */
void fixture_presets(void *base, const struct field *fields);

/* Fills the parameters of a stage with the presets of its kind. */
void fixture_stage(struct stage *s, const struct stage_kind *kind);

/* Puts a booster in front of the membrane of fixture_plant. */
void fixture_add_booster(struct plant *p);

/* A random valid plant: parameters within their usual range, stages in any sensible order. */
struct plant fixture_random_plant(unsigned long seed);

/* Runs it with up to one observer; returns the final state through the copy. */
struct outcome {
    enum status status;
    struct run_figures figures;
    struct state state;         /* at the end */
    struct signals signals;
};
void fixture_run(const struct plant *p, const struct plan *plan, const struct observer *o,
                 struct outcome *out);

/* Uniform number in [0, 1) of a small generator. */
double fixture_random(unsigned long *seed);

#endif
