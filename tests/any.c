/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * any: the order of the groups, and those that a table alone can fill.
 */
#include "any.h"

#include <math.h>
#include <string.h>

#include "any_inner.h"
#include "fixture.h"

static const double DAY = 86400.0; /* s */

/* ---- groups from the list -----------------------------------------------------------------------
 */

static bool can_rinse(const struct maker *m)
{
    return m->plant.membrane >= 0 && plant_has_solenoid(&m->plant);
}

static bool has_shutoff_valve(const struct maker *m)
{
    return m->plant.fill.shutoff_valve;
}

static bool has_low_pressure_switch(const struct maker *m)
{
    return m->plant.fill.low_pressure_switch;
}

/* Above the highest usual `trips`. */
static void clears(struct maker *m, const struct field *fields)
{
    if (any_chance(m, 0.4))
        any_number(m, fields, "clears", any_between(m, 2.1e5, 3e5));
}

static bool has_membrane(const struct maker *m)
{
    return m->plant.membrane >= 0;
}

/* Less than the smallest usual vessel holds. */
static void some_water(struct maker *m, const struct field *fields)
{
    m->plant.has_bladder = true;
    if (any_chance(m, 0.4))
        any_number(m, fields, "first", any_log(m, 1e-5, 5e-4));
}

static void rinse_for(struct maker *m, const struct field *fields)
{
    if (any_said(m->text, "rinse_every") >= 0 && any_chance(m, 0.6))
        any_value(m, any_field(fields, "rinse_for"));
}

/* One of the two, so that they are in order. */
static void one_salinity(struct maker *m, const struct field *fields)
{
    if (any_chance(m, 0.5))
        any_value(m, any_field(fields, any_chance(m, 0.5) ? "salinity_low" : "salinity_high"));
}

/* Rows every few seconds would cost more than the rest. */
static void every(struct maker *m, const struct field *fields)
{
    any_number(m, fields, "every", any_log(m, 60.0, DAY));
}

static void cartridges(struct maker *m, const struct field *fields)
{
    (void)fields;
    if (any_chance(m, 0.5))
        any_quoted(m, "currency", "EUR");
    any_open(m->text, ANY_GROUP, "cartridges");
    for (int i = 0; i < m->plant.stages; i++)
        if (any_chance(m, 0.5))
            any_put(m->text, m->plant.train[i].name, "%d", 1 + any_pick(m, 60));
    any_close(m->text);
}

/* How often a part fails, said in one way; demands are counted of the solenoid's closing alone. */
static void rates(struct maker *m, const struct field *fields)
{
    const bool demand = any_chance(m, 0.2);
    (void)fields;
    any_open(m->text, ANY_LIST, "rates");
    any_open(m->text, ANY_GROUP, "");
    if (demand) {
        any_quoted(m, "part", "feed solenoid");
        any_quoted(m, "mode", "sticks open");
    } else {
        any_fault(m);
    }
    const char *way = demand ? "per_demand" : any_chance(m, 0.5) ? "rate" : "probability";
    any_value(m, any_field(scenario_rate_fields, way));
    if (any_chance(m, 0.3))
        any_value(m, any_field(scenario_rate_fields, "error_factor"));
    any_close(m->text);
    any_close(m->text);
}

/* What the list does not say of a group.  One without a row is put in by chance and filled from
 * its table alone. */
struct row {
    const char *path;
    double share;                       /* of the scenarios that could have it */
    bool (*fits)(const struct maker *); /* NULL: all could */
    const char *leave_out[4];           /* keys that its table alone would get wrong */
    void (*more)(struct maker *, const struct field *); /* and what puts them in, or NULL */
};

static const struct row rows[] = {
    { "storage.valve", 0.7, has_shutoff_valve, { NULL }, NULL },
    { "storage.low_pressure", 0.7, has_low_pressure_switch, { "clears" }, clears },
    { "storage.bladder", 0.3, has_membrane, { "first" }, some_water },
    { "control", 0.7, can_rinse, { "rinse_for" }, rinse_for },
    { "limits", 0.3, NULL, { "salinity_low", "salinity_high" }, one_salinity },
    { "records", 0.3, NULL, { "every" }, every },
    { "prices", 0.3, NULL, { NULL }, cartridges },
    { "numerics", 0.1, NULL, { NULL }, NULL },
    { "risk", 0.2, NULL, { NULL }, rates },
    /* by their own functions */
    { "feed", 0.0, NULL, { NULL }, NULL },
    { "plate", 0.0, NULL, { NULL }, NULL },
    { "measured", 0.0, NULL, { NULL }, NULL },
    { "storage", 0.0, NULL, { NULL }, NULL },
    { "served", 0.0, NULL, { NULL }, NULL },
    { "draws", 0.0, NULL, { NULL }, NULL },
    { "events", 0.0, NULL, { NULL }, NULL },
    { "replace", 0.0, NULL, { NULL }, NULL },
    { "clock", 0.0, NULL, { NULL }, NULL },
    { "risk.rates", 0.0, NULL, { NULL }, NULL },
};

static const struct row *row_of(const char *path)
{
    static const struct row others = { .share = 0.3 };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (strcmp(rows[i].path, path) == 0)
            return &rows[i];
    return &others;
}

/* The key of a group within another: "valve" of "storage.valve"; NULL if it stands elsewhere. */
static const char *key_within(const char *path, const char *within)
{
    const size_t length = strlen(within);
    if (length == 0)
        return strchr(path, '.') == NULL ? path : NULL;
    return strncmp(path, within, length) == 0 && path[length] == '.' ? path + length + 1 : NULL;
}

void any_groups(struct maker *m, const char *within)
{
    for (const struct scenario_table *t = scenario_tables; t->path != NULL; t++) {
        const char *key = key_within(t->path, within);
        const struct row *row = row_of(t->path);
        /* now and then one that does not fit: it must be refused, or do nothing */
        const bool odd = row->share > 0.0 && any_chance(m, 0.002);
        if (key == NULL || !(odd || ((!row->fits || row->fits(m)) && any_chance(m, row->share))))
            continue;
        any_open(m->text, ANY_GROUP, key);
        any_fields(m, t->fields, row->leave_out);
        if (row->more != NULL)
            row->more(m, t->fields);
        any_groups(m, t->path);
        any_close(m->text);
    }
}

/* ---- the whole ----------------------------------------------------------------------------------
 */

static void clock_group(struct maker *m)
{
    m->length = any_log(m, 1.0, 25.0) * DAY;
    any_open(m->text, ANY_GROUP, "clock");
    if (any_chance(m, 0.6))
        any_put(m->text, "start", "\"20%02d-%02d-%02d\"", any_pick(m, 40), 1 + any_pick(m, 12),
                1 + any_pick(m, 28));
    any_put(m->text, "length", "\"%.3f days\"", m->length / DAY);
    if (any_chance(m, 0.1))
        any_put(m->text, "away", "\"%d days\"", any_pick(m, 30));
    any_close(m->text);
}

void any_make(unsigned long seed, struct any_text *out)
{
    static struct maker m;
    memset(&m, 0, sizeof m);
    out->count = out->depth = 0;
    m.text = out;
    m.random = seed * 2654435761UL + 12345UL;
    for (int i = 0; i < 8; i++)
        fixture_random(&m.random);
    m.share = any_between(&m, 0.05, 0.6);
    m.bold = any_chance(&m, 0.3) ? 0.1 : 0.0;
    if (any_chance(&m, 0.3))
        any_quoted(&m, "title", "Any plant");
    clock_group(&m);
    any_feed(&m);
    any_train(&m);
    any_storage(&m);
    any_measured(&m);
    any_served(&m);
    any_groups(&m, "");
    any_draws(&m);
    any_replace(&m);
    any_events(&m);
}
