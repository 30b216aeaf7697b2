/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rates: the table is whole and within what is published; lognormal arithmetic; what holds.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "fixture.h"
#include "sim/odds.h"
#include "sim/rates.h"

static const double YEAR = 365.25 * 86400.0; /* s */

static int count_rows(const char *part, const char *mode)
{
    int count = 0;
    for (const struct rate *r = rates_defaults; r->part; r++)
        count += strcmp(r->part, part) == 0 && strcmp(r->mode, mode) == 0;
    return count;
}

/* ---- the table -------------------------------------------------------------------------------
 */

Test(rates, every_way_to_fail_has_one_row)
{
    for (int i = RATES_FIRST; rates_exists(i); i++)
        cr_expect_eq(
            count_rows(rates_part(i), rates_mode(i)), 1,
            "\"%s\" \"%s\" has %d rows in rates_defaults of sim/rates.c, not one. Put a row "
            "there, with the rate of the nearest part if nothing is published "
            "(RATE_NEAREST), and a line in docs/rates.md.",
            rates_part(i), rates_mode(i), count_rows(rates_part(i), rates_mode(i)));
}

Test(rates, every_row_is_of_something_that_can_fail)
{
    for (const struct rate *r = rates_defaults; r->part; r++) {
        bool found = false;
        for (int i = RATES_FIRST; rates_exists(i); i++)
            found |= strcmp(r->part, rates_part(i)) == 0 && strcmp(r->mode, rates_mode(i)) == 0;
        cr_expect(found,
                  "\"%s\" \"%s\" of rates_defaults in sim/rates.c is no row of fault_modes in "
                  "models/fault.c: take it out, or give it the names that stand there",
                  r->part, r->mode);
    }
}

Test(rates, every_row_is_complete)
{
    for (int i = RATES_FIRST; rates_exists(i); i++) {
        const struct rate r = rates_default(i);
        const double highest = r.kind == RATE_PER_TIME ? 10.0 / YEAR : 0.1;
        cr_expect(r.median > 0.0 && r.median <= highest, "%s %s: %g", r.part, r.mode, r.median);
        cr_expect(r.error_factor >= 3.0 && r.error_factor <= 30.0, "%s %s", r.part, r.mode);
        cr_expect_eq(isnan(r.lasts), i >= 0, "%s %s: only what comes from outside ends by itself",
                     r.part, r.mode);
        cr_expect_gt(strlen(r.source), 10, "%s %s", r.part, r.mode);
        cr_expect(r.trust != RATE_GIVEN && r.given == 0, "%s %s", r.part, r.mode);
    }
}

static int fault_named(const char *part, const char *mode)
{
    for (int i = RATES_FIRST; rates_exists(i); i++)
        if (strcmp(part, rates_part(i)) == 0 && strcmp(mode, rates_mode(i)) == 0)
            return i;
    cr_assert_fail("%s %s", part, mode);
    return 0;
}

static struct rate named(const char *part, const char *mode)
{
    return rates_default(fault_named(part, mode));
}

/* Values beside the published ones that they are moved from: the small, dirty, seldom tested part
 * is no better than the industrial one, and not a hundred times worse. */
Test(rates, are_no_better_than_what_they_come_from)
{
    const double HOURS = 8766.0;
    const struct {
        const char *part, *mode;
        double published; /* per year, or chance */
    } rows[] = {
        { "stop switch", "shows dry", 1e-6 * HOURS },       /* instrument channel */
        { "check valve", "leaks back", 3e-7 * HOURS },      /* check valve, reverse leak */
        { "run timer", "never ends", 1e-8 * HOURS * 10.0 }, /* relay short, upper bound */
        { "top-off pump", "does not stop", 1e-8 * HOURS },  /* relay short */
        { "feed solenoid", "sticks open", 1e-3 },           /* solenoid valve */
        { "overflow pipe", "blocked", 1e-3 },               /* passive line, best */
        { "mains", "power cut", 1e-4 * HOURS },             /* electric supply */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct rate r = named(rows[i].part, rows[i].mode);
        const double median = r.kind == RATE_PER_TIME ? r.median * YEAR : r.median;
        cr_expect(median >= 0.99 * rows[i].published && median <= 100.0 * rows[i].published,
                  "%s %s: %g against %g", r.part, r.mode, median, rows[i].published);
    }
}

/* Parts of one whole: a regulator fails in all modes 0.1 /yr (0.1 to 1), a control loop 0.1 /yr. */
Test(rates, of_one_part_add_up_to_what_is_published_of_all_its_modes)
{
    double sum[2] = { 0.0, 0.0 };
    for (int i = 0; rates_exists(i); i++) {
        sum[0] += strcmp(rates_part(i), "controller") == 0 ? YEAR * rates_default(i).median : 0.0;
        sum[1] += strcmp(rates_part(i), "float valve") == 0 ? YEAR * rates_default(i).median : 0.0;
    }
    cr_expect_float_eq(sum[0], 0.1, 1e-12);
    cr_expect(sum[1] >= 0.1 && sum[1] <= 1.0, "%g", sum[1]);
}

/* A tested part with 0.1 /yr is found dead 5 times in 100: (1 - (1 - e^-x)/x) with x = 0.1. */
Test(rates, a_leak_sensor_is_found_dead_as_often_as_is_assumed)
{
    const double x = named("leak sensor", "dead").median * YEAR;
    cr_expect_float_eq(1.0 - (1.0 - exp(-x)) / x, 0.05, 0.002);
}

/* ---- arithmetic ------------------------------------------------------------------------------
 */

/* Ratios of mean to median of lognormals, computed elsewhere to five digits. */
Test(rates, the_mean_of_a_lognormal_lies_above_its_median)
{
    cr_expect_float_eq(odds_mean(1.0, 3.0), 1.2499, 5e-5);
    cr_expect_float_eq(odds_mean(1.0, 5.0), 1.6140, 5e-5);
    cr_expect_float_eq(odds_mean(1.0, 10.0), 2.6640, 5e-5);
    cr_expect_eq(odds_mean(0.02, 1.0), 0.02, "no doubt, no difference");
    cr_expect_eq(odds_mean(0.0, 5.0), 0.0);
}

/* The mean is also that of a sum over equal shares of the distribution. */
Test(rates, the_mean_agrees_with_a_sum_over_the_distribution)
{
    enum { PARTS = 20000 };
    const double sigma = log(5.0) / 1.6448536269514722;
    double sum = 0.0, weight = 0.0;
    for (int i = 0; i < PARTS; i++) {
        const double z = -9.0 + 18.0 * (i + 0.5) / PARTS;
        sum += exp(-0.5 * z * z + sigma * z);
        weight += exp(-0.5 * z * z);
    }
    cr_expect_float_eq(odds_mean(1.0, 5.0), sum / weight, 1e-6);
}

Test(rates, demands_make_a_rate)
{
    const double daily = 1.0 / 86400.0;
    struct rate r = named("feed solenoid", "sticks open");
    cr_expect_float_eq(rates_per_time(&r, daily) * YEAR, 0.36525, 1e-12);
    cr_expect_eq(rates_per_time(&r, 0.0), 0.0);
    r = named("float valve", "weeps");
    cr_expect_float_eq(rates_per_time(&r, daily) * YEAR, 0.1, 1e-15);
    r = named("overflow pipe", "blocked");
    cr_expect(isnan(rates_per_time(&r, daily)), "a standing chance is no rate");
}

/* ---- what holds ------------------------------------------------------------------------------
 */

Test(rates, what_the_scenario_says_goes_before_the_default)
{
    struct plan plan = fixture_plan(10.0);
    const int open = fault_named("float valve", "sticks open");
    const int weeps = fault_named("float valve", "weeps");
    cr_expect(rates_of(&plan, open).trust == RATE_BUILT && rates_of(&plan, open).given == 0);
    plan.risk.rate[0] = (struct rate_given){ weeps, RATE_STANDING, 0.3, 2.0, NAN };
    plan.risk.rate[1] =
        (struct rate_given){ RATES_POWER_CUT, RATE_PER_TIME, 10.0 / YEAR, 2.0, 60.0 };
    plan.risk.rates = 2;
    struct rate r = rates_of(&plan, weeps);
    cr_expect(r.kind == RATE_STANDING && r.median == 0.3 && r.error_factor == 2.0);
    cr_expect(r.trust == RATE_GIVEN && r.given == 1);
    r = rates_of(&plan, RATES_POWER_CUT);
    cr_expect(r.median == 10.0 / YEAR && r.lasts == 60.0 && r.given == 2);
    cr_expect_str_eq(r.mode, "power cut");
    r = rates_of(&plan, open);
    cr_expect(r.median == 0.02 / YEAR && r.given == 0, "others stay");
}

Test(rates, like_switches_of_one_vessel_may_fail_together)
{
    const int start = fault_named("start switch", "shows dry");
    const int stop = fault_named("stop switch", "shows dry");
    const int high = fault_named("high switch", "shows dry");
    cr_expect(rates_alike(start, stop) && rates_alike(stop, start) && rates_alike(stop, high));
    cr_expect(rates_alike(fault_named("top-off switch", "shows dry"),
                          fault_named("top-off high switch", "shows dry")));
    cr_expect(!rates_alike(start, start), "one is no pair");
    cr_expect(!rates_alike(stop, fault_named("high switch", "shows wet")), "the other way");
    cr_expect(!rates_alike(stop, fault_named("top-off switch", "shows dry")), "another vessel");
    cr_expect(
        !rates_alike(fault_named("feed solenoid", "weeps"), fault_named("float valve", "weeps")),
        "parts of two kinds");
}

Test(rates, power_and_supply_may_always_fail_and_parts_where_they_are)
{
    struct plant p = fixture_plant();
    cr_expect(rates_applies(&p, RATES_POWER_CUT) && rates_applies(&p, RATES_SUPPLY_CUT));
    cr_expect(rates_applies(&p, fault_named("stop switch", "shows dry")));
    cr_expect(!rates_applies(&p, fault_named("leak sensor", "dead")));
    p.fill.leak_sensor = true;
    cr_expect(rates_applies(&p, fault_named("leak sensor", "dead")));
}

/* ---- the page --------------------------------------------------------------------------------
 */

/* The row of the table in docs/rates.md. */
static void write_row(const struct rate *r, char out[], size_t size)
{
    char often[40], lasts[40] = "";
    if (r->kind == RATE_PER_TIME)
        snprintf(often, sizeof often, "%.3g /yr", r->median * YEAR);
    else
        snprintf(often, sizeof often, "%.3g%s", r->median,
                 r->kind == RATE_PER_DEMAND ? " a demand" : "");
    if (!isnan(r->lasts))
        snprintf(lasts, sizeof lasts, ", lasts %.3g h", r->lasts / 3600.0);
    snprintf(out, size, "| %s | %s | %s%s | %.3g | %s | %s |\n", r->part, r->mode, often, lasts,
             r->error_factor, rates_trust_words(r->trust), r->source);
}

/* Runs in the folder of the project, as every test does. */
Test(rates, the_page_has_every_row_and_no_other)
{
    enum { PAGE_MAX = 40000 };
    static char page[PAGE_MAX];
    FILE *f = fopen("docs/rates.md", "r");
    cr_assert_not_null(f);
    page[fread(page, 1, PAGE_MAX - 1, f)] = '\0';
    fclose(f);
    int rows = 0;
    for (const struct rate *r = rates_defaults; r->part; r++, rows++) {
        char row[400];
        write_row(r, row, sizeof row);
        cr_expect_not_null(strstr(page, row), "docs/rates.md needs this row: %s", row);
    }
    const char *table = strstr(page, "| part | mode |");
    cr_assert_not_null(table);
    const char *end = strstr(table, "\n\n");
    int lines = -1; /* below the heading and its rule */
    for (const char *c = table; c < end; c++)
        lines += *c == '\n';
    cr_expect_eq(lines, rows, "%d rows of docs/rates.md, %d of the table", lines, rows);
}
