/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_plan: title, clock, records, numerics, draws and limits.
 */
#include "scenario_inner.h"

#include <string.h>

#include "text.h"

#define DAY 86400.0
#define YEAR (366.0 * DAY)
#define OPTIONAL FIELD_OPTIONAL

/* Reads a group of the root that may be left out. */
static const struct node *read_group(struct loading *l, const char *path,
                                     const struct field *fields, void *base,
                                     const char *const *others)
{
    const struct node *group = reader_group(&l->reader, tree_member(l->root, path), path);
    const struct section s = {
        .path = path, .group = group, .fields = fields, .base = base, .others = others
    };
    reader_section(&l->reader, &s);
    return group;
}

/* ---- clock ----------------------------------------------------------------------------------- */

const struct field scenario_clock_fields[] = {
    NUMBER("length", DIM_TIME, struct plan, length, 365.0 * DAY, 60.0, 100.0 * YEAR, DAY,
           10.0 * YEAR, "span that is simulated", "assumption: a year"),
    NUMBER("away", DIM_TIME, struct plan, away, 0.0, 0.0, 10.0 * YEAR, 0.0, YEAR,
           "span without anybody there", "none is given"),
    { .key = NULL },
};

static const char *const clock_others[] = { "start", NULL };

void scenario_clock_read(struct loading *l)
{
    struct plan *plan = &l->out->plan;
    const struct node *group = read_group(l, "clock", scenario_clock_fields, plan, clock_others);
    const struct node *n = tree_member(group, "start");
    const char *start = reader_text(&l->reader, n, "clock.start");
    text_copy(plan->start_date, sizeof plan->start_date, "2026-01-01");
    if (start != NULL && !date_parse(start, &l->start))
        reader_complain(&l->reader, SEVERITY_ERROR, n,
                        "write \"2026-03-01\" or \"2026-03-01T07:00\"",
                        "\"%.40s\" is not a date that exists", start);
    else if (start != NULL)
        text_copy(plan->start_date, sizeof plan->start_date, start);
    if (!date_parse(plan->start_date, &l->start))
        l->start = 0.0;
    reader_note_text(&l->reader, "clock.start", n, plan->start_date);
    l->out->plant.feed.start_day = date_day_of_year(l->start);
}

static void write_clock(const struct plan *plan, FILE *out)
{
    writer_open(out, "clock");
    writer_text(out, "start", plan->start_date);
    writer_fields(out, scenario_clock_fields, plan);
    writer_close(out);
}

/* Seconds from `start`, of a time or a date; the cure goes to *cure where it is neither. */
static bool parse_moment(const char *text, double start, double *t, const char **cure,
                         char words[SCENARIO_WORDS])
{
    struct quantity q;
    struct units_error e;
    if (date_looks_like(text)) {
        *cure = "write \"2026-03-01\" or \"2026-03-01T07:00\"";
        snprintf(words, SCENARIO_WORDS, "\"%.40s\" is not a date that exists", text);
        if (!date_parse(text, t))
            return false;
        *t -= start;
        return true;
    }
    *cure = "write \"30 days\" or \"2026-03-01\"";
    const bool time = units_parse(text, DIM_TIME, NULL, &q, &e);
    *t = time ? q.si : NAN;
    if (!time)
        snprintf(words, SCENARIO_WORDS, "%.190s", e.what);
    return time;
}

static bool within(const struct plan *plan, double t, const char *what, char words[SCENARIO_WORDS])
{
    if (t >= 0.0 && t <= plan->length)
        return true;
    char length[UNITS_TEXT];
    snprintf(words, SCENARIO_WORDS, "\"%.40s\" lies outside the run, which takes %s from %s", what,
             units_format(plan->length, DIM_TIME, length, sizeof length), plan->start_date);
    return false;
}

bool scenario_moment(struct loading *l, const struct node *n, const char *key, double *t)
{
    const char *text = reader_text(&l->reader, n, key), *cure;
    char words[SCENARIO_WORDS];
    if (text == NULL)
        return false;
    if (!parse_moment(text, l->start, t, &cure, words)) {
        reader_complain(&l->reader, SEVERITY_ERROR, n, cure, "%s", words);
        return false;
    }
    if (within(&l->out->plan, *t, key, words))
        return true;
    reader_complain(&l->reader, SEVERITY_ERROR, n, NULL, "%s", words);
    return false;
}

bool scenario_when(const struct scenario *s, const char *text, double *t,
                   char words[SCENARIO_WORDS])
{
    const char *cure;
    double start = 0.0;
    date_parse(s->plan.start_date, &start);
    return parse_moment(text, start, t, &cure, words) && within(&s->plan, *t, text, words);
}

/* ---- records, numerics ----------------------------------------------------------------------- */

const struct field scenario_record_fields[] = {
    NUMBER("every", DIM_TIME, struct plan, record, 600.0, 1.0, YEAR, 10.0, DAY,
           "time between rows of the series", "10 min is short against every fill; assumption"),
    { .key = NULL },
};

/* A series of more rows than that is nothing that anybody could keep: it is refused before hours of
 * work. */
static const double ROWS_MOST = 2147483647.0;
static const double ROW_BYTES = 110.0; /* about */

static void read_records(struct loading *l)
{
    const struct plan *plan = &l->out->plan;
    const struct node *group =
        read_group(l, "records", scenario_record_fields, &l->out->plan, NULL);
    const struct node *every = tree_member(group, "every");
    const double rows = plan->length / plan->record;
    if (rows > ROWS_MOST)
        reader_complain(&l->reader, SEVERITY_ERROR, every ? every : group,
                        "record less often, for example every = \"10 min\"",
                        "the series would have %.3g rows, about %.0f GB", rows,
                        rows * ROW_BYTES / 1e9);
}

struct numerics_form {
    double tolerance, parcel_scale;
};

const struct field scenario_numerics_fields[] = {
    NUMBER("tolerance", DIM_NONE, struct numerics_form, tolerance, 1e-6, 1e-12, 1e-2, 1e-9, 1e-4,
           "relative tolerance of the integrator", "see docs/plant.md"),
    NUMBER("parcel_scale", DIM_NONE, struct numerics_form, parcel_scale, 1.0, 1e-3, 100.0, 0.1, 4.0,
           "factor on the size of the water parcels; halve it to see whether results move",
           "see docs/plant.md"),
    { .key = NULL },
};

static void read_numerics(struct loading *l)
{
    struct numerics_form form;
    read_group(l, "numerics", scenario_numerics_fields, &form, NULL);
    l->out->plan.tolerance = form.tolerance;
    l->out->plant.parcel_scale = form.parcel_scale;
}

static void write_numerics(const struct scenario *s, FILE *out)
{
    const struct numerics_form form = { s->plan.tolerance, s->plant.parcel_scale };
    writer_open(out, "numerics");
    writer_fields(out, scenario_numerics_fields, &form);
    writer_close(out);
}

/* ---- draws ----------------------------------------------------------------------------------- */

const struct field scenario_draw_fields[] = {
    NUMBER("take", DIM_VOLUME, struct draw, take, NAN, 1e-6, 1e3, 1e-4, 5.0, "volume taken", ""),
    NUMBER("every", DIM_TIME, struct draw, every, OPTIONAL, 60.0, 100.0 * YEAR, 3600.0, YEAR,
           "time from one draw to the next; once if left out", ""),
    NUMBER("first", DIM_TIME, struct draw, first, OPTIONAL, 0.0, 100.0 * YEAR, 0.0, YEAR,
           "time of the first; after one `every` if left out", ""),
    NUMBER("rate", DIM_FLOW, struct draw, rate, 5e-3 / 60.0, 1e-8, 0.1, 1e-6, 1e-3,
           "flow at which it is taken", "assumption: 5 L/min"),
    { .key = NULL },
};

static bool said(const struct node *group, const char *key)
{
    return tree_member(group, key) != NULL;
}

static void read_draw(struct loading *l, const struct node *n, int number)
{
    char path[PATH_LENGTH];
    snprintf(path, sizeof path, "draws.%d", number);
    struct draw d;
    const struct section s = { .path = path,
                               .group = reader_group(&l->reader, n, path),
                               .fields = scenario_draw_fields,
                               .base = &d };
    if (s.group == NULL)
        return;
    reader_section(&l->reader, &s);
    if (isnan(d.first) && isnan(d.every) && !said(n, "every") && !said(n, "first"))
        reader_missing(&l->reader, n, path, "every", "or first = \"3 days\"; for a single draw");
    if (isnan(d.first))
        d.first = d.every;
    if (isnan(d.every))
        d.every = INFINITY;
    if (d.take / d.rate > d.every)
        reader_complain(&l->reader, SEVERITY_ERROR, n, "take less, or faster",
                        "a draw is not over when the next begins");
    l->out->plan.draw[l->out->plan.draws++] = d;
}

/* A list of groups of the root; NULL if it is left out or wrong. */
static const struct node *list_of(struct loading *l, const char *key, int most)
{
    const struct node *list = tree_member(l->root, key);
    if (list == NULL)
        return NULL;
    if (list->type != NODE_LIST) {
        char cure[80];
        snprintf(cure, sizeof cure, "write %s = ( { ... }, { ... } );", key);
        reader_complain(&l->reader, SEVERITY_ERROR, list, cure, "%s must be a list, but this is %s",
                        key, tree_words(list));
        return NULL;
    }
    if (tree_length(list) <= most)
        return list;
    reader_complain(&l->reader, SEVERITY_ERROR, list, NULL, "%d %s are too many; at most %d",
                    tree_length(list), key, most);
    return NULL;
}

static void read_draws(struct loading *l)
{
    const struct node *list = list_of(l, "draws", DRAWS_MAX);
    int number = 1;
    for (const struct node *n = list == NULL ? NULL : list->child; n != NULL; n = n->next)
        read_draw(l, n, number++);
}

static void write_draws(const struct plan *plan, FILE *out)
{
    fputs("draws = (\n", out);
    for (int i = 0; i < plan->draws; i++) {
        fputs(i > 0 ? ", {\n" : "{\n", out);
        writer_fields(out, scenario_draw_fields, &plan->draw[i]);
        fputs("}\n", out);
    }
    fputs(");\n", out);
}

/* ---- limits ---------------------------------------------------------------------------------- */

const struct field scenario_limit_fields[] = {
    NUMBER("permeate", DIM_MASS_CONCENTRATION, struct limits, permeate, OPTIONAL, 0.0, 10.0, 1e-3,
           0.05, "meter reading of the permeate at which the membrane is changed", ""),
    NUMBER("product", DIM_MASS_CONCENTRATION, struct limits, product, OPTIONAL, 0.0, 10.0, 0.0,
           0.02, "meter reading of the product at which the resin is changed", ""),
    NUMBER("salinity_low", (enum dimension)DIM_SALINITY, struct limits, salinity_low, OPTIONAL, 0.0,
           100.0, 0.0, 45.0, "least salinity of the served water", ""),
    NUMBER("salinity_high", (enum dimension)DIM_SALINITY, struct limits, salinity_high, OPTIONAL,
           0.0, 100.0, 0.0, 45.0, "greatest salinity of the served water", ""),
    NUMBER("spill", DIM_VOLUME, struct limits, spill, 0.0, 0.0, 100.0, 0.0, 1.0,
           "water that may run to the floor", "none"),
    NUMBER("dry", DIM_TIME, struct limits, dry, 0.0, 0.0, YEAR, 0.0, 7.0 * DAY,
           "time that the served water may go without", "none"),
    { .key = NULL },
};

static void read_limits(struct loading *l)
{
    struct limits *limits = &l->out->plan.limits;
    const struct node *group = read_group(l, "limits", scenario_limit_fields, limits, NULL);
    if (limits->salinity_low > limits->salinity_high)
        reader_complain(&l->reader, SEVERITY_ERROR, group, NULL,
                        "salinity_low lies above salinity_high");
}

/* ---- all ------------------------------------------------------------------------------------- */

void scenario_plan_read(struct loading *l)
{
    struct plan *plan = &l->out->plan;
    const struct node *n = tree_member(l->root, "title");
    const char *title = reader_text(&l->reader, n, "title");
    if (title != NULL && !text_copy(plan->title, sizeof plan->title, title))
        reader_complain(&l->reader, SEVERITY_ERROR, n, NULL, "the title is longer than %d bytes",
                        TITLE_MAX);
    read_records(l);
    read_numerics(l);
    read_draws(l);
    read_limits(l);
    scenario_prices_read(l);
}

void scenario_plan_write(const struct scenario *s, FILE *out)
{
    write_draws(&s->plan, out);
    writer_open(out, "limits");
    writer_fields(out, scenario_limit_fields, &s->plan.limits);
    writer_close(out);
    scenario_prices_write(s, out);
    write_clock(&s->plan, out);
    writer_open(out, "records");
    writer_fields(out, scenario_record_fields, &s->plan);
    writer_close(out);
    write_numerics(s, out);
}
