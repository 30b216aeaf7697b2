/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of sim/amount.c and sim/phrase.c: quantities in both tastes, against the factors of NIST SP
 * 811 (2008), appendix B.8; every column of the results is told apart by the end of its name.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "sim/amount.h"
#include "sim/phrase.h"
#include "sim/screen.h"

static void us(void)
{
    units_set_taste(TASTE_US);
}

Test(amount, metric_numbers_come_out_with_the_same_bits)
{
    const double numbers[] = { 0.0, -3.7, 0.1, 1.0 / 3.0, 190.0, 1e9 };
    for (int kind = 0; kind < AMOUNT_COUNT; kind++)
        for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
            cr_expect_eq(amount_number((enum amount)kind, numbers[i]), numbers[i], "kind %d", kind);
}

Test(amount, us_numbers_agree_with_published_factors, .init = us)
{
    static const struct {
        enum amount kind;
        double metric, us, good_to; /* seven digits are published, or it is exact */
        const char *unit;
    } rows[] = {
        { AMOUNT_LEVEL, 2.54, 1.0, 1e-12, "in" },
        { AMOUNT_THIN, 25.4, 1.0, 1e-12, "in" },
        { AMOUNT_WATER, 3.785412, 1.0, 1e-7, "gal" },
        { AMOUNT_A_DAY, 3.785412, 1.0, 1e-7, "gal/day" },
        { AMOUNT_FLOW, 2.628758, 1.0, 1e-6, "gal/day" }, /* 4.381 264 E-08 m3/s */
        { AMOUNT_PRESSURE, 6.894757, 1.0, 1e-7, "psi" },
        { AMOUNT_BAR, 1.0, 14.50377, 1e-6, "psi" },
        { AMOUNT_TEMPERATURE, 0.0, 32.0, 1e-12, "degF" },
        { AMOUNT_TEMPERATURE, -40.0, -40.0, 1e-12, "degF" },
        { AMOUNT_TEMPERATURE, 100.0, 212.0, 1e-12, "degF" },
        { AMOUNT_PRICE, 1.0, 3.785412, 1e-6, "" },
        { AMOUNT_PRICE_BULK, 1000.0, 3.785412, 1e-6, "gal" },
        { AMOUNT_PERCENT, 12.0, 12.0, 0.0, "%" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cr_expect_float_eq(amount_number(rows[i].kind, rows[i].metric), rows[i].us,
                           rows[i].good_to * fabs(rows[i].us) + 1e-12, "row %zu", i);
        cr_expect_str_eq(amount_unit(rows[i].kind), rows[i].unit);
    }
}

Test(amount, has_a_place_more_where_the_unit_is_larger, .init = us)
{
    char out[AMOUNT_CELL];
    cr_expect_str_eq(amount_words(AMOUNT_LEVEL, 45.2, 1, out), "17.80 in");
    cr_expect_str_eq(amount_words(AMOUNT_LEVEL, 300.0, 1, out), "118.1 in");
    cr_expect_str_eq(amount_words(AMOUNT_THIN, 19.0, 0, out), "0.75 in");
    cr_expect_str_eq(amount_words(AMOUNT_BAR, 3.45, 2, out), "50.0 psi");
    cr_expect_str_eq(amount_words(AMOUNT_BAR, 3.45, 0, out), "50 psi");
    cr_expect_str_eq(amount_bare(AMOUNT_FLOW, 190.0, 0, out), "72.3");
    cr_expect_str_eq(amount_words_in(TASTE_METRIC, AMOUNT_LEVEL, 45.2, 1, out), "45.2 cm");
}

Test(amount, volumes_take_the_unit_that_suits_them)
{
    static const struct {
        double volume;
        const char *metric, *us;
    } rows[] = { { 0.0, "0 L", "0 gal" },           { 4e-7, "0 L", "0 gal" },
                 { 5e-5, "50 mL", "1.69 fl oz" },   { 0.00094, "940 mL", "31.8 fl oz" },
                 { 0.00095, "950 mL", "0.25 gal" }, { 0.001, "1.00 L", "0.26 gal" },
                 { 0.02, "20.0 L", "5.28 gal" },    { 4.12, "4120 L", "1088 gal" },
                 { -0.02, "-20.0 L", "-5.28 gal" } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char out[AMOUNT_CELL];
        cr_expect_str_eq(amount_volume_in(TASTE_METRIC, rows[i].volume, out), rows[i].metric);
        cr_expect_str_eq(amount_volume_in(TASTE_US, rows[i].volume, out), rows[i].us);
        units_set_taste(TASTE_US);
        cr_expect_str_eq(screen_litres(rows[i].volume, out), rows[i].us);
        units_set_taste(TASTE_METRIC);
        cr_expect_str_eq(screen_litres(rows[i].volume, out), rows[i].metric);
    }
}

Test(amount, columns_are_known_by_their_ends)
{
    static const struct {
        const char *name;
        enum amount kind;
        const char *stem;
    } rows[] = { { "tank_level_cm", AMOUNT_LEVEL, "tank_level_" },
                 { "basin_level_mm", AMOUNT_THIN, "basin_level_" },
                 { "produced_L", AMOUNT_WATER, "produced_" },
                 { "evaporation_L_day", AMOUNT_A_DAY, "evaporation_" },
                 { "product_flow_mL_min", AMOUNT_FLOW, "product_flow_" },
                 { "sediment_drop_kPa", AMOUNT_PRESSURE, "sediment_drop_" },
                 { "feed_temperature_degC", AMOUNT_TEMPERATURE, "feed_temperature_" },
                 { "day", AMOUNT_COUNT, "day" },
                 { "_L", AMOUNT_COUNT, "_L" },
                 { "salinity_g_kg", AMOUNT_COUNT, "salinity_g_kg" },
                 { "product_silica_mg_L", AMOUNT_COUNT, "product_silica_mg_L" },
                 { "hardness_meq_L", AMOUNT_COUNT, "hardness_meq_L" },
                 { "feed_uS_cm", AMOUNT_COUNT, "feed_uS_cm" },
                 { "product_carbon_mg_L_as_CO2", AMOUNT_COUNT, "product_carbon_mg_L_as_CO2" },
                 { "feed_meter_ppm", AMOUNT_COUNT, "feed_meter_ppm" } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        size_t stem;
        cr_expect_eq(amount_of_column(rows[i].name, &stem), rows[i].kind, "%s", rows[i].name);
        cr_expect_eq(stem, strlen(rows[i].stem), "%s", rows[i].name);
    }
}

Test(phrase, is_said_in_both_tastes)
{
    const struct phrase p = { "from #, not #",
                              { { PHRASE_AMOUNT, AMOUNT_LEVEL, 0, 30.0 },
                                { PHRASE_BARE, AMOUNT_LEVEL, 0, 45.0 } } };
    const struct phrase q = { "# in #",
                              { { .form = PHRASE_VOLUME, .value = 0.02 },
                                { .form = PHRASE_SPAN, .value = 7200.0 } } };
    const struct phrase plain = { .words = "as it is" }, more = { .words = "# # # #" };
    char out[PHRASE_WORDS];
    cr_expect_str_eq(phrase_say(&p, TASTE_METRIC, out), "from 30 cm, not 45");
    cr_expect_str_eq(phrase_say(&p, TASTE_US, out), "from 11.8 in, not 17.7");
    cr_expect_str_eq(phrase_say(&q, TASTE_METRIC, out), "20.0 L in 2 h");
    cr_expect_str_eq(phrase_say(&q, TASTE_US, out), "5.28 gal in 2 h");
    cr_expect_str_eq(phrase_say(&plain, TASTE_US, out), "as it is");
    cr_expect_lt(strlen(phrase_say(&more, TASTE_US, out)), sizeof out);
}
