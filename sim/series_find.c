/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * series_find: columns by the names that people give them, their units, moments on their axis.
 * Page: docs/show.md.
 */
#include <stdio.h>
#include <string.h>

#include "amount.h"
#include "date.h"
#include "scenario.h"
#include "series.h"
#include "text.h"
#include "units.h"

/* Ends of the names that the engine gives. */
static const struct {
    const char *end, *words;
} units[] = {
    { "_mg_L_as_CO2", "mg/L as CO2" },
    { "_mL_min", "mL/min" },
    { "_mg_L", "mg/L" },
    { "_mg_L_day", "day" }, /* the day at which so many mg/L are passed */
    { "_g_kg", "g/kg" },
    { "_L_day", "L/day" },
    { "_degC", "degC" },
    { "_kPa", "kPa" },
    { "_kWh", "kWh" },
    { "_ppm", "ppm" },
    { "_percent", "%" },
    { "_a_year", "a year" },
    { "_days", "days" },
    { "_cm", "cm" },
    { "_mm", "mm" },
    { "_day", "day" },
    { "_L", "L" },
    { "_h", "h" },
    { "_s", "s" },
};

struct series_unit series_unit_of(const char *column)
{
    const size_t n = strlen(column);
    struct series_unit out = { .base = (int)n, .words = "", .factor = 1.0 };
    size_t longest = 0;
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        const size_t m = strlen(units[i].end);
        if (m <= longest || m >= n || strcmp(column + n - m, units[i].end) != 0)
            continue;
        longest = m;
        out.base = (int)(n - m);
        out.words = units[i].words;
    }
    return out;
}

struct series_unit series_unit_in_taste(const char *column)
{
    size_t stem;
    struct series_unit out = series_unit_of(column);
    const enum amount kind = amount_of_column(column, &stem);
    if (kind == AMOUNT_COUNT || units_taste() == TASTE_METRIC)
        return out;
    const struct amount_unit u = amount_unit_in(units_taste(), kind);
    out.words = u.name;
    out.factor = u.factor;
    out.offset = u.offset;
    return out;
}

bool series_shown(const struct series_file *f, int column)
{
    const struct series_column *k = &f->column[column];
    return column != f->along && column != f->label && k->name[0] != '\0' && k->numbers >= k->words;
}

/* ---- names ------------------------------------------------------------------------------------
 */

/* Whether a name asks for this file; *column is then what follows the colon, or all of it. */
static bool names_file(const struct series_file *f, const char *name, const char **column)
{
    const size_t n = strlen(f->name), stem = n - strlen(".csv");
    *column = name;
    if (strncmp(name, f->name, n) == 0 && name[n] == ':')
        *column = name + n + 1;
    else if (strncmp(name, f->name, stem) == 0 && name[stem] == ':')
        *column = name + stem + 1;
    return *column != name;
}

/* A column by its whole name, or without its unit. */
static int find_in(const struct series_file *f, const char *name, bool whole)
{
    for (int i = 0; i < f->columns; i++) {
        const char *own = f->column[i].name;
        const size_t n = whole ? strlen(own) : (size_t)series_unit_of(own).base;
        if (series_shown(f, i) && strlen(name) == n && strncmp(own, name, n) == 0)
            return i;
    }
    return -1;
}

/* Near is what is near with its unit or without. */
static void try_near(const struct series_file *f, struct nearest *n)
{
    for (int i = 0; i < f->columns; i++) {
        const char *own = f->column[i].name;
        char base[SERIES_NAME];
        if (!series_shown(f, i))
            continue;
        text_nearest_try(n, own);
        struct nearest without = *n;
        snprintf(base, sizeof base, "%.*s", series_unit_of(own).base, own);
        text_nearest_try(&without, base);
        if (without.distance < n->distance) {
            n->distance = without.distance;
            n->name = own;
        }
    }
}

/* A name that holds the word. */
static const char *find_within(const struct series_file *f, const char *word)
{
    for (int i = 0; i < f->columns && word[0] != '\0'; i++)
        if (series_shown(f, i) && strstr(f->column[i].name, word))
            return f->column[i].name;
    return NULL;
}

bool series_find(const struct series *s, const char *name, struct series_pick *out,
                 const char **near)
{
    const char *wanted = name, *column;
    bool named = false;
    for (int i = 0; i < s->files; i++)
        if (names_file(s->file[i], name, &column)) {
            named = true;
            wanted = column;
        }
    struct nearest n = text_nearest_to(wanted);
    for (int whole = 1; whole >= 0; whole--)
        for (int i = 0; i < s->files; i++) {
            const struct series_file *f = s->file[i];
            if (named && !names_file(f, name, &column))
                continue;
            out->file = f;
            out->column = find_in(f, wanted, whole);
            if (out->column >= 0)
                return true;
            try_near(f, &n);
        }
    *near = n.name;
    for (int i = 0; i < s->files && !*near; i++)
        if (!named || names_file(s->file[i], name, &column))
            *near = find_within(s->file[i], wanted);
    return false;
}

/* ---- moments ----------------------------------------------------------------------------------
 */

/* Seconds in a step of the axis; 0 if it is none of time. */
static double seconds_of(const char *axis)
{
    return strcmp(axis, "day") == 0      ? 86400.0
           : strcmp(axis, "hour") == 0   ? 3600.0
           : strcmp(axis, "second") == 0 ? 1.0
                                         : 0.0;
}

/* Seconds from the start of the run to a date, by the scenario in the folder. */
static bool date_moment(const struct series *s, const char *text, double *t,
                        char words[SERIES_WORDS])
{
    char path[RESULTS_PATH] = "";
    struct scenario scenario;
    struct report *report = report_create();
    double start, date;
    text_append(path, sizeof path, "%s/scenario.resolved.cfg", s->dir);
    const bool loaded = report && scenario_load(path, NULL, &scenario, report) == STATUS_OK;
    report_free(report);
    if (!loaded) {
        text_copy(words, SERIES_WORDS,
                  "dates need scenario.resolved.cfg, which is not sound here; say \"100 days\"");
        return false;
    }
    const bool known = date_parse(scenario.plan.start_date, &start) && date_parse(text, &date);
    scenario_free(&scenario);
    if (!known) {
        text_copy(words, SERIES_WORDS, "is no date that exists");
        return false;
    }
    *t = date - start;
    return true;
}

bool series_moment(const struct series *s, const struct series_file *f, const char *text,
                   double *at, char words[SERIES_WORDS])
{
    const char *axis = f->along < 0 ? "" : f->column[f->along].name;
    const double unit = seconds_of(axis);
    const struct units_hint hint = { 0 };
    struct units_error error;
    struct quantity time;
    if (unit <= 0.0) {
        snprintf(words, SERIES_WORDS, "%s has no axis of time", f->name);
        return false;
    }
    if (date_looks_like(text)) {
        if (!date_moment(s, text, at, words))
            return false;
        *at /= unit;
        return true;
    }
    if (!units_parse(text, DIM_TIME, &hint, &time, &error)) {
        snprintf(words, SERIES_WORDS, "%s; %s", error.what, error.cure);
        return false;
    }
    *at = time.si / unit;
    return true;
}
