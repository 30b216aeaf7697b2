/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_inner: what the files that read the groups of a scenario share.
 */
#ifndef SIM_SCENARIO_INNER_H
#define SIM_SCENARIO_INNER_H

#include <stddef.h>

#include "date.h"
#include "scenario.h"
#include "writer.h"

/* Rows of field tables.  Columns: key, dimension, struct, member, preset, hard range, usual range,
 * words for the manual, source of the preset. */
#define NUMBER(key, d, type, member, preset, min, max, low, high, doc, source)                     \
    {                                                                                              \
        key, FIELD_NUMBER, d, offsetof(type, member), preset, min, max, low, high, NULL, doc,      \
            source                                                                                 \
    }
#define FLAG(key, type, member, preset, doc, source)                                               \
    {                                                                                              \
        key, FIELD_FLAG, DIM_NONE, offsetof(type, member), preset, 0, 1, 0, 1, NULL, doc, source   \
    }
#define CHOICE(key, type, member, preset, words, doc, source)                                      \
    {                                                                                              \
        key, FIELD_CHOICE, DIM_NONE, offsetof(type, member), preset, 0, 0, 0, 0, words, doc,       \
            source                                                                                 \
    }

/* A scenario that is being read. */
struct loading {
    struct reader reader;
    struct node *root;
    struct scenario *out;
    double start; /* s since 1970, of t = 0 */
};

/* One after the other; each reads a group and fills its part of plant and plan. */
void scenario_clock_read(struct loading *l);
void scenario_feed_read(struct loading *l);
void scenario_train_read(struct loading *l);
void scenario_measured_read(struct loading *l);
void scenario_storage_read(struct loading *l);
void scenario_served_read(struct loading *l);
void scenario_control_read(struct loading *l);
void scenario_prices_read(struct loading *l);
void scenario_plan_read(struct loading *l);
void scenario_upkeep_read(struct loading *l);
void scenario_events_read(struct loading *l);
void scenario_risk_read(struct loading *l);

/* And write it again in exact SI form: what is read from it has the same bits. */
void scenario_feed_write(const struct scenario *s, FILE *out);
void scenario_train_write(const struct scenario *s, FILE *out);
void scenario_storage_write(const struct scenario *s, FILE *out);
void scenario_served_write(const struct scenario *s, FILE *out);
void scenario_control_write(const struct scenario *s, FILE *out);
void scenario_prices_write(const struct scenario *s, FILE *out);
void scenario_plan_write(const struct scenario *s, FILE *out);
void scenario_upkeep_write(const struct scenario *s, FILE *out);
void scenario_events_write(const struct scenario *s, FILE *out);
void scenario_risk_write(const struct scenario *s, FILE *out);

/* Their field tables. */
extern const struct field scenario_clock_fields[], scenario_record_fields[],
    scenario_numerics_fields[], scenario_meter_fields[], scenario_feed_fields[],
    scenario_plate_fields[], scenario_measured_fields[], scenario_storage_fields[],
    scenario_served_fields[], scenario_feed_cycles[], scenario_served_cycles[],
    scenario_draw_fields[], scenario_limit_fields[], scenario_price_fields[],
    scenario_event_fields[], scenario_control_fields[], scenario_visit_fields[],
    scenario_rule_fields[], scenario_commissioning_fields[], scenario_risk_fields[],
    scenario_rate_fields[], scenario_inlet_fields[], scenario_safeguard_fields[];

/* The words of storage.shutoff, ended by NULL, and the flag that each stands for; also for tests. */
extern const char *const *const scenario_shutoffs;
bool *scenario_shutoff(struct fill *f, int i);

/* A part that stands in a group of its own, which may be left out: wear = { ... } of train.ro.
 * outer: the group that it stands in, or NULL. */
void scenario_within_read(struct loading *l, const struct node *outer, const char *path,
                          const struct stage_group *inner, void *base);
void scenario_within_write(const struct stage_group *inner, const void *base, FILE *out);

/* What stands for a value that was left out. */
struct assumed {
    const char *path; /* "control.divert" */
    enum dimension dimension;
    double si;
    const char *source;
};

/* A value that was left out (NAN) gets the one assumed, which is noted. */
void scenario_assume(struct loading *l, double *value, const struct assumed *a);

/* Notes that a key of the group `path` was computed. */
void scenario_computed(struct loading *l, const char *path, const char *key, double si,
                       const char *source);

/* A cycle: "15 degC", { mean; season; peak_day; daily; peak_hour } or { winter; summer }.  `mean`
 * describes the key: its dimension, range, preset (NAN: required). */
void scenario_cycle_read(struct loading *l, const struct node *group, const char *path,
                         const struct field *mean, struct cycle *out);

/* The shape of the tank; t holds what was read of it by the section `storage`, NAN for what was
 * left out. */
void scenario_tank_read(struct loading *l, const struct section *storage, struct tank *t);

/* A level of the storage that was left out (NAN) gets a value, which is noted with its source. */
void scenario_supply(struct loading *l, const char *key, double *level, double value,
                     const char *source);

/* The low pressure switch in the storage's group, and written again. */
void scenario_inlet_read(struct loading *l, const struct node *storage, struct fill *fill);
void scenario_inlet_write(const struct fill *fill, FILE *out);

/* Protections that could never clear, or that nobody resets; after everything was read. */
void scenario_trips_check(struct loading *l);

/* Whether what was said of the feed fits together; after it was completed. */
void scenario_water_check(struct loading *l, const struct node *group);

/* The nameplate of the membrane of a stage, from its group or its part (NULL: none), made A and B.
 */
struct part;
void scenario_plate_read(struct loading *l, const struct node *n, const char *path,
                         const struct part *part, struct membrane *m);

/* Whether the elements of a membrane go together; left out, their restrictor is that of one, times
 * their number. */
void scenario_elements_check(struct loading *l, const struct node *n, const char *path,
                             struct membrane *m);

/* The kind that a stage of the list says it is; NULL if it says none that exists. */
const struct stage_kind *scenario_train_kind(const struct node *n);

/* Whether there is a membrane, or could be one: a stage was not understood. */
bool scenario_train_has_membrane(const struct loading *l);

/* Names of the stages, as given or by kind; count is how many there are, at most STAGES_MAX. */
int scenario_train_names(const struct node *list, char names[][NAME_MAX_LENGTH + 1]);

/* The stage with this name or, if only one is of that kind, kind; -1 if there is none. */
int scenario_stage_named(const struct plant *p, const char *name);

/* What fails by the `part` and `mode` of a group, numbered as rates.h does; from: 0, or RATES_FIRST
 * with what comes from outside.  False and a complaint if this plant cannot fail so. */
bool scenario_fault_find(struct loading *l, const struct node *group, const char *place, int from,
                         int *which);

/* Puts one  key=value  of the command line into the tree. */
enum status scenario_set(struct loading *l, const char *set);

/* A moment of the run [s]: "30 days" or a date.  False and a complaint if it is none, or outside.
 */
bool scenario_moment(struct loading *l, const struct node *n, const char *key, double *t);

#endif
