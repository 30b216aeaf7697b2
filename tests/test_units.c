/* SPDX-License-Identifier: GPL-3.0-or-later
 * What a scenario may write as a quantity.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "models/species.h"
#include "sim/units.h"

static bool parse(const char *text, enum dimension d, double *si, struct units_error *e)
{
    struct quantity q = { .si = NAN };
    const bool fine = units_parse(text, d, NULL, &q, e);
    *si = q.si;
    return fine;
}

static unsigned long long seed = 20260101;

static double chance(void)
{
    seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(seed >> 11) / 9007199254740992.0;
}

Test(units, refuse_what_is_no_number)
{
    static const char *const bad[] = { "",         " ",          "psi",     "x 5 psi", "nan psi",
                                       "inf psi",  "1e400 psi",  "-",       ".",       "e5 psi",
                                       "0x10 psi", "1e-400 psi", "--5 psi", "5 psi 5", "5 5 psi",
                                       "1,5 bar",  "1.5,0 bar" };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        double value;
        struct units_error e = { "", "" };
        cr_assert_not(parse(bad[i], DIM_PRESSURE, &value, &e), "accepts '%s'", bad[i]);
        cr_assert_neq(e.what[0], '\0', "says nothing of '%s'", bad[i]);
    }
}

Test(units, read_numbers_in_every_form)
{
    static const struct {
        const char *text;
        double si;
    } good[] = { { "5 m", 5 },      { "5m", 5 },     { " 5  m ", 5 },
                 { "+5 m", 5 },     { ".5 m", 0.5 }, { "5. m", 5 },
                 { "5e-1 m", 0.5 }, { "5E1 m", 50 }, { "-5.25 m", -5.25 } };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        double value;
        struct units_error e;
        cr_assert(parse(good[i].text, DIM_LENGTH, &value, &e), "%s: %s", good[i].text, e.what);
        cr_assert_eq(value, good[i].si, "%s is %g", good[i].text, value);
    }
}

Test(units, read_foreign_letters)
{
    double a, b;
    struct units_error e;
    cr_assert(parse("490 \xc2\xb5S/cm", DIM_CONDUCTIVITY, &a, &e));
    cr_assert(parse("490 \xce\xbcS/cm", DIM_CONDUCTIVITY, &b, &e));
    cr_assert_eq(a, b);
    cr_assert(parse("18 \xc2\xb0"
                    "C",
                    DIM_TEMPERATURE, &a, &e));
    cr_assert_eq(a, 18.0);
    cr_assert(parse("2 m\xc2\xb3/h", DIM_FLOW, &a, &e));
    cr_assert(parse("8 \xc2\xb0"
                    "dH",
                    DIM_EQUIVALENTS, &a, &e));
}

Test(units, refuse_every_unit_of_another_kind)
{
    /* each dimension's example, read as each other dimension */
    for (int from = 0; from < DIM_ALL; from++) {
        for (int to = 0; to < DIM_ALL; to++) {
            char text[UNITS_TEXT];
            const char *quote = strchr(units_example((enum dimension)from), '"');
            if (quote == NULL || from == to)
                continue;
            sscanf(quote, "\"%63[^\"]", text);
            double value;
            struct units_error e = { "", "" };
            const bool kin = (from == DIM_METER && to == DIM_MASS_CONCENTRATION) ||
                             (from == DIM_CONDUCTIVITY && to == DIM_METER) ||
                             (from == DIM_TEMPERATURE && to == DIM_TEMPERATURE_DIFFERENCE) ||
                             (from == DIM_TEMPERATURE_DIFFERENCE && to == DIM_TEMPERATURE) ||
                             (from == DIM_EQUIVALENTS && to == DIM_CAPACITY) ||
                             (from == DIM_CAPACITY && to == DIM_EQUIVALENTS) ||
                             (from == DIM_MOLAR && to == DIM_MASS_CONCENTRATION);
            cr_assert(kin || !parse(text, (enum dimension)to, &value, &e), "'%s' passes as %s",
                      text, units_dimension_name((enum dimension)to));
        }
    }
}

Test(units, say_what_is_meant_and_how_to_write_it)
{
    double value;
    struct units_error e;
    cr_assert_not(parse("50", DIM_PRESSURE, &value, &e));
    cr_assert_not_null(strstr(e.what, "needs its unit"));
    cr_assert_not_null(strstr(e.cure, "50 psi"));
    cr_assert_not(parse("50 L", DIM_PRESSURE, &value, &e));
    cr_assert_not_null(strstr(e.what, "unit of volume, not of pressure"));
    cr_assert_not(parse("50 psy", DIM_PRESSURE, &value, &e));
    cr_assert_not_null(strstr(e.what, "did you mean \"psi\""));
    cr_assert_not(parse("1,5 bar", DIM_PRESSURE, &value, &e));
    cr_assert_not_null(strstr(e.what, "comma"));
}

Test(units, never_mix_mass_and_calcium_carbonate)
{
    double value;
    struct units_error e;
    cr_assert_not(parse("150 mg/L", DIM_EQUIVALENTS, &value, &e));
    cr_assert_not_null(strstr(e.cure, "as CaCO3"));
    cr_assert_not(parse("150 ppm", DIM_EQUIVALENTS, &value, &e));
    cr_assert_not(parse("150 mg/L as CaCO3", DIM_MASS_CONCENTRATION, &value, &e));
    cr_assert_not(parse("2 mg/L as Cl2", DIM_MASS_CONCENTRATION, &value, &e));
}

Test(units, keep_temperature_and_difference_apart)
{
    double absolute, difference;
    struct units_error e;
    cr_assert(parse("50 degF", DIM_TEMPERATURE, &absolute, &e));
    cr_assert(parse("50 degF", DIM_TEMPERATURE_DIFFERENCE, &difference, &e));
    cr_assert_float_eq(absolute, 10.0, 1e-12);
    cr_assert_float_eq(difference, 250.0 / 9.0, 1e-12);
}

Test(units, count_an_ion_by_mass_by_mole_and_by_charge)
{
    const struct units_hint hint = { units_substance("calcium"), 0.0 };
    struct quantity q;
    struct units_error e;
    static const char *const same[] = { "40.078 mg/L", "40.078 ppm", "1 mmol/L", "2 meq/L",
                                        "100.0869 mg/L as CaCO3" };
    for (size_t i = 0; i < sizeof same / sizeof *same; i++) {
        cr_assert(units_parse(same[i], DIM_MOLAR, &hint, &q, &e), "%s: %s", same[i], e.what);
        cr_assert_float_eq(q.si, 1.0, 1e-14, "%s is %.17g", same[i], q.si);
    }
    const struct units_hint silica = { units_substance("silica"), 0.0 };
    cr_assert_not(units_parse("1 meq/L", DIM_MOLAR, &silica, &q, &e), "silica has no charge");
    cr_assert_not(units_parse("10 mg/L", DIM_MOLAR, NULL, &q, &e), "milligrams of what?");
}

Test(units, take_molar_masses_of_the_species_table)
{
    for (int i = 0; i < SPECIES_COUNT; i++) {
        const struct substance *s = units_substance(species[i].key);
        if (s == NULL)
            continue;
        cr_assert_eq(s->molar_mass, species[i].molar_mass, "%s", s->name);
        if (s->charge != 0)
            cr_assert_eq(s->charge, abs(species[i].charge), "%s", s->name);
    }
    cr_assert_eq(units_substance("bicarbonate")->molar_mass, species[CARBON].molar_mass);
    cr_assert_null(units_substance("gold"));
}

Test(units, read_a_meter_by_its_scale)
{
    struct quantity q;
    struct units_error e;
    const struct units_hint seven = { NULL, 7.0 };
    cr_assert(units_parse("245 ppm", DIM_METER, NULL, &q, &e));
    cr_assert_float_eq(q.si, 490e-4, 1e-15);
    cr_assert(units_parse("343 ppm", DIM_METER, &seven, &q, &e));
    cr_assert_float_eq(q.si, 490e-4, 1e-15);
    cr_assert(units_parse("343 ppm700", DIM_METER, NULL, &q, &e));
    cr_assert_float_eq(q.si, 490e-4, 1e-15);
}

Test(units, write_exactly_what_they_read)
{
    for (int d = 0; d < DIM_ALL; d++) {
        for (int i = 0; i < 2000; i++) {
            const double si = (chance() - 0.3) * pow(10.0, 40.0 * chance() - 20.0);
            char text[UNITS_TEXT];
            units_exact(si, (enum dimension)d, text, sizeof text);
            double back;
            struct units_error e;
            cr_assert(parse(text, (enum dimension)d, &back, &e), "%s: %s", text, e.what);
            cr_assert_eq(memcmp(&back, &si, sizeof si), 0, "%s comes back as %.17g", text, back);
        }
    }
}

Test(units, show_values_that_they_can_read)
{
    for (int d = 0; d < DIM_ALL; d++) {
        for (int i = 0; i < 500; i++) {
            const double si = chance() * pow(10.0, 12.0 * chance() - 8.0);
            char text[UNITS_TEXT];
            units_format(si, (enum dimension)d, text, sizeof text);
            double back;
            struct units_error e;
            cr_assert(parse(text, (enum dimension)d, &back, &e), "%s: %s", text, e.what);
            const double scale = fabs(si) + (d == DIM_TEMPERATURE ? 300.0 : 0.0);
            cr_assert_leq(fabs(back - si), 6e-4 * scale, "%.17g shows as %s", si, text);
        }
    }
}

Test(units, show_people_the_usual_unit)
{
    static const struct {
        double si;
        enum dimension d;
        const char *text;
    } shown[] = { { 344737.86, DIM_PRESSURE, "344.7 kPa" },
                  { 0.7, DIM_LENGTH, "70 cm" },
                  { 60.0, DIM_TIME, "1 min" },
                  { 86400.0, DIM_TIME, "1 days" },
                  { 3.2e-6, DIM_FLOW, "192 mL/min" },
                  { 0.42, DIM_AREA, "0.42 m2" },
                  { 0.0, DIM_LENGTH, "0 m" },
                  { 18.0, DIM_TEMPERATURE, "18 degC" } };
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++) {
        char text[UNITS_TEXT];
        cr_assert_str_eq(units_format(shown[i].si, shown[i].d, text, sizeof text), shown[i].text);
    }
}

/* What is shown in US units reads back as what it was, to its four digits. */
Test(units, are_shown_to_taste_and_read_back)
{
    struct {
        double si;
        enum dimension d;
        const char *text;
    } shown[] = { { 344737.86, DIM_PRESSURE, "50 psi" },
                  { 0.7, DIM_LENGTH, "27.56 in" },
                  { 3.0, DIM_LENGTH, "9.843 ft" },
                  { 5e-4, DIM_LENGTH, "500 um" },
                  { 5e-5, DIM_VOLUME, "1.691 fl oz" },
                  { 0.06, DIM_VOLUME, "15.85 gal" },
                  { 3.2e-6, DIM_FLOW, "73.04 gal/day" },
                  { 2e-3 / 60.0, DIM_FLOW, "0.5283 gal/min" },
                  { 0.42, DIM_AREA, "4.521 sq ft" },
                  { 0.01, DIM_AREA, "15.5 sq in" },
                  { 0.1, DIM_MASS, "3.527 oz" },
                  { 2.0, DIM_MASS, "4.409 lb" },
                  { 18.0, DIM_TEMPERATURE, "64.4 degF" },
                  { -5.0, DIM_TEMPERATURE, "23 degF" },
                  { 2.0, DIM_TEMPERATURE_DIFFERENCE, "3.6 degF" },
                  { 2947.0, DIM_TEMPERATURE_DIFFERENCE, "2947 K" },
                  { 0.1, DIM_VELOCITY, "0.3281 ft/s" },
                  { 3.2, DIM_PRICE_PER_VOLUME, "0.01211 /gal" },
                  { 1.8e-11, DIM_WATER_PERMEABILITY, "0.2632 gal/(sq ft day psi)" },
                  { 2.4e7, DIM_RESISTANCE, "0.2196 psi/gpm" },
                  { 3.0, DIM_EQUIVALENTS, "3 meq/L" },
                  { 0.049, DIM_CONDUCTIVITY, "490 uS/cm" },
                  { 86400.0, DIM_TIME, "1 days" } };
    units_set_taste(TASTE_US);
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++) {
        char text[UNITS_TEXT];
        double si;
        struct units_error e;
        cr_expect_str_eq(units_format(shown[i].si, shown[i].d, text, sizeof text), shown[i].text);
        cr_assert(parse(text, shown[i].d, &si, &e), "%s: %s", text, e.what);
        cr_expect_float_eq(si, shown[i].si, 6e-4 * fabs(shown[i].si), "%s", text);
        units_format_in(TASTE_METRIC, shown[i].si, shown[i].d, text, sizeof text);
        cr_assert(parse(text, shown[i].d, &si, &e), "%s: %s", text, e.what);
        cr_expect_float_eq(si, shown[i].si, 6e-4 * fabs(shown[i].si), "%s", text);
    }
}

/* No dimension is forgotten: none shows a metric unit but those of laboratories. */
Test(units, every_dimension_has_a_us_unit)
{
    for (int d = 0; d < DIM_ALL; d++)
        for (double si = 1e-9; si < 1e9; si *= 10.0) {
            char text[UNITS_TEXT];
            units_format_in(TASTE_US, si, (enum dimension)d, text, sizeof text);
            const char *unit = text + strcspn(text, " ");
            cr_expect(!strstr(unit, "Pa") && !strstr(unit, "cm2") && !strstr(unit, "m3/") &&
                          strcmp(unit, " m") != 0 && strcmp(unit, " cm") != 0 &&
                          strcmp(unit, " mm") != 0 && strcmp(unit, " L") != 0 &&
                          strcmp(unit, " kg") != 0 && strcmp(unit, " degC") != 0 &&
                          strcmp(unit, " /m3") != 0,
                      "dimension %d: %s", d, text);
        }
}

static int seen;

static void see(const char *name, enum dimension d, double factor, double offset, void *data)
{
    (void)offset;
    (void)data;
    char text[UNITS_TEXT];
    double value;
    struct units_error e;
    snprintf(text, sizeof text, "1 %s", name);
    cr_assert(parse(text, d, &value, &e), "%s: %s", text, e.what);
    cr_assert_gt(factor, 0.0, "%s", name);
    seen++;
}

Test(units, read_every_name_of_their_table)
{
    units_each(see, NULL);
    cr_assert_gt(seen, 90);
}

Test(units, survive_random_text)
{
    static const char letters[] = "0123456789.eE+-,/ ()%mgLpsibarkdegCF\xc2\xb5\xb0\xb2";
    for (int i = 0; i < 200000; i++) {
        char text[40] = "";
        const int n = (int)(chance() * 39.0);
        for (int j = 0; j < n; j++)
            text[j] = letters[(size_t)(chance() * (sizeof letters - 1))];
        double value;
        struct units_error e;
        if (parse(text, (enum dimension)(int)(chance() * DIM_ALL), &value, &e))
            cr_assert(isfinite(value), "'%s' is %g", text, value);
    }
}

/* A number of four digits is written out, not as 3.66e+04; what is too large or small for that is not. */
Test(units, writes_large_numbers_out)
{
    char text[UNITS_TEXT];
    struct quantity q = { .factor = 86400.0, .unit = "days" };
    cr_assert_str_eq(units_format_like(86400.0 * 36600.0, &q, text, sizeof text), "36600 days");
    cr_assert_str_eq(units_format_like(86400.0 * 9999.0, &q, text, sizeof text), "9999 days");
    cr_assert_str_eq(units_format_like(-86400.0 * 123456.0, &q, text, sizeof text), "-123500 days");
    cr_assert_str_eq(units_format_like(86400.0 * 2e9, &q, text, sizeof text), "2e+09 days");
}
