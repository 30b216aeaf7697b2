/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_cycle: a quantity that swings with season and hour, as a scenario writes it.
 */
#include "scenario_inner.h"

#include "text.h"

#define SUMMER_DAY 196.0 /* middle of July, half a year after the middle of January */

struct cycle_form {
    struct cycle cycle;
    double winter, summer;
};

#define ROW(key, d, member, preset, min, max, doc)                                                 \
    NUMBER(key, d, struct cycle_form, member, preset, min, max, min, max, doc, "no swing is given")

enum { ROWS = 8 };

static void make_fields(const struct field *mean, struct field fields[ROWS])
{
    const enum dimension d = mean->dimension;
    const enum dimension swing = d == DIM_TEMPERATURE ? DIM_TEMPERATURE_DIFFERENCE : d;
    const double most = mean->max - mean->min;
    const struct field rows[ROWS] = {
        ROW("mean", d, cycle.mean, NAN, mean->min, mean->max, "mean over the year"),
        ROW("season", swing, cycle.season, 0.0, -most, most, "half the swing over the year"),
        ROW("peak_day", DIM_NONE, cycle.peak_day, SUMMER_DAY, -366.0, 732.0,
            "day of the year of the highest value"),
        ROW("daily", swing, cycle.daily, 0.0, -most, most, "half the swing over the day"),
        ROW("peak_hour", DIM_NONE, cycle.peak_hour, 15.0, -24.0, 48.0,
            "hour of the day of the highest value"),
        ROW("winter", d, winter, FIELD_OPTIONAL, mean->min, mean->max, "value in mid-January"),
        ROW("summer", d, summer, FIELD_OPTIONAL, mean->min, mean->max, "value in mid-July"),
        { .key = NULL },
    };
    for (int i = 0; i < ROWS; i++)
        fields[i] = rows[i];
}

static void read_group(struct loading *l, const struct node *n, const char *path,
                       const struct field *mean, struct cycle *out)
{
    struct field fields[ROWS];
    make_fields(mean, fields);
    const struct node *winter = tree_member(n, "winter"), *summer = tree_member(n, "summer");
    if ((winter == NULL) != (summer == NULL))
        reader_missing(&l->reader, n, path, winter == NULL ? "winter" : "summer", NULL);
    if (winter != NULL || summer != NULL)
        fields[0].preset = 0.0; /* replaced below */
    struct cycle_form form;
    const struct section s = { .path = path, .group = n, .fields = fields, .base = &form };
    reader_section(&l->reader, &s);
    if (winter != NULL && summer != NULL) {
        form.cycle.mean = 0.5 * (form.winter + form.summer);
        form.cycle.season = 0.5 * (form.summer - form.winter);
    }
    *out = form.cycle;
    if (cycle_lowest(out) < mean->min || cycle_highest(out) > mean->max)
        reader_complain(&l->reader, SEVERITY_ERROR, n, "make its swings smaller",
                        "with its swings %s leaves what is possible", mean->key);
}

static bool is_cycle(const struct node *n)
{
    return n != NULL && n->type == NODE_GROUP && tree_member(n, "value") == NULL &&
           tree_member(n, "sd") == NULL;
}

void scenario_cycle_read(struct loading *l, const struct node *group, const char *path,
                         const struct field *mean, struct cycle *out)
{
    const struct node *n = tree_member(group, mean->key);
    if (is_cycle(n)) {
        char inner[PATH_LENGTH] = "";
        text_append(inner, sizeof inner, "%s.%s", path, mean->key);
        read_group(l, n, inner, mean, out);
        return;
    }
    double value = NAN;
    struct field field[] = { *mean, { .key = NULL } };
    field[0].offset = 0;
    /* the other keys of the group are somebody else's: a section of this one key */
    struct node only = { .type = NODE_GROUP };
    if (group != NULL) {
        only.key = group->key;
        only.value = group->value;
    }
    struct node copy;
    if (n != NULL) {
        copy = *n;
        copy.next = NULL;
        only.child = only.last = &copy;
    }
    const struct section s = { .path = path, .group = &only, .fields = field, .base = &value };
    reader_section(&l->reader, &s);
    *out = (struct cycle){ .mean = value, .peak_day = SUMMER_DAY, .peak_hour = 15.0 };
}
