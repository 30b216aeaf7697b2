/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * variant: a changed value is that of a scenario in which a person had written it.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "sim/variant.h"

static const char PATH[] = "scenarios/demo.cfg";

static void load(const char *const sets[], struct scenario *s)
{
    struct report *report = report_create();
    cr_assert_eq(scenario_load(PATH, sets, s, report), STATUS_OK);
    report_free(report);
}

static const struct value *value_of(const struct scenario *s, const char *path)
{
    const struct value *v = reader_noted((struct values *)&s->values, path);
    cr_assert_not_null(v, "%s", path);
    return v;
}

/* Every number of the file, put in its own place, changes no bit of the plant. */
Test(variant, with_its_own_values_is_the_same_plant)
{
    static struct scenario s, other;
    load(NULL, &s);
    int tried = 0;
    for (int i = 0; i < s.values.count; i++) {
        const struct value *v = &s.values.list[i];
        if (v->origin != ORIGIN_FILE || v->type != FIELD_NUMBER)
            continue;
        const struct variant same = { v, v->si };
        cr_assert_eq(variant_load(PATH, NULL, &same, 1, &other), STATUS_OK, "%s", v->path);
        cr_assert_eq(memcmp(&s.plant, &other.plant, sizeof s.plant), 0, "%s", v->path);
        scenario_free(&other);
        tried++;
    }
    cr_assert_gt(tried, 30);
    scenario_free(&s);
}

Test(variant, changes_what_follows_from_a_value_too)
{
    static struct scenario s, changed, written;
    const char *const sets[] = { "feed.pH=7.0", "feed.pressure=\"300 kPa\"", NULL };
    load(NULL, &s);
    load(sets, &written);
    const struct variant list[] = { { value_of(&s, "feed.pH"), 7.0 },
                                    { value_of(&s, "feed.pressure"), 3e5 } };
    cr_assert_eq(variant_load(PATH, NULL, list, 2, &changed), STATUS_OK);
    cr_assert_eq(memcmp(&written.plant, &changed.plant, sizeof changed.plant), 0);
    cr_assert_gt(changed.plant.feed.c[CARBON], s.plant.feed.c[CARBON]);
    scenario_free(&changed);
    scenario_free(&written);
    scenario_free(&s);
}

Test(variant, keeps_the_changes_of_the_command_line)
{
    static struct scenario s, changed;
    const char *const sets[] = { "feed.warmest=\"25 degC\"", NULL };
    load(sets, &s);
    const struct variant one = { value_of(&s, "feed.pH"), 7.1 };
    cr_assert_eq(variant_load(PATH, sets, &one, 1, &changed), STATUS_OK);
    cr_assert_eq(changed.plant.feed.temperature.mean, s.plant.feed.temperature.mean);
    scenario_free(&changed);
    scenario_free(&s);
}

Test(variant, stays_within_what_a_key_accepts)
{
    static struct scenario s, changed;
    load(NULL, &s);
    const struct value *ph = value_of(&s, "feed.pH");
    cr_assert_eq(variant_accepted(ph, 15.0), 14.0);
    cr_assert_eq(variant_accepted(ph, -1.0), 0.0);
    cr_assert_eq(variant_accepted(ph, 6.5), 6.5);
    const struct variant outside = { ph, 15.0 };
    cr_assert_eq(variant_load(PATH, NULL, &outside, 1, &changed), STATUS_SCENARIO);
    scenario_free(&s);
}
