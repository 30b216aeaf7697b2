/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * glance: see glance.h.  What is printed here for people: values, feed and cautions; the sections
 * between have files of their own.  glance_data.c has it for programs.
 */
#include "glance_inner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "amount.h"
#include "channel.h"
#include "screen.h"
#include "text.h"

static const double CO2_MASS = 44.0095e-3; /* kg/mol */
static const double METER_AT = 25.0;       /* degC that meters correct to */

enum { ORIGIN_COLUMN = 46 };

void glance_item(const char *what, const char *words)
{
    printf("  %s", what);
    screen_wrap(stdout, 2 + (int)strlen(what), 4, words);
}

/* ---- every value ------------------------------------------------------------------------------
 */

void glance_origin(const struct value *v, char out[], size_t size)
{
    switch (v->origin) {
    case ORIGIN_FILE:
        snprintf(out, size, "%s:%d", v->place.file ? v->place.file : "file", v->place.line);
        return;
    case ORIGIN_COMMAND_LINE:
        snprintf(out, size, "command line");
        return;
    case ORIGIN_PART:
        snprintf(out, size, "part: %s", v->source);
        return;
    case ORIGIN_DEFAULT:
        snprintf(out, size, "default%s%s", v->source[0] ? ": " : "", v->source);
        return;
    case ORIGIN_COMPUTED:
        snprintf(out, size, "computed%s%s", v->source[0] ? ": " : "", v->source);
        return;
    }
}

static void tell_values(const struct scenario *s)
{
    puts("VALUES: what was given, what was assumed, and where from");
    for (int i = 0; i < s->values.count; i++) {
        const struct value *v = &s->values.list[i];
        char from[256], safe[512], text[4 * TEXT_LENGTH], shown[TEXT_LENGTH];
        glance_origin(v, from, sizeof from);
        text_escape(from, safe, sizeof safe);
        text_escape(reader_shown(v, shown), text, sizeof text);
        char what[PATH_LENGTH + sizeof text + 4];
        snprintf(what, sizeof what, "%s = %s", v->path, text);
        if (strlen(what) > ORIGIN_COLUMN - 3) { /* too long to stand beside its origin */
            printf("  ");
            screen_wrap(stdout, 2, 4, what);
            printf("%*s", ORIGIN_COLUMN, "");
        } else {
            printf("  %-*s ", ORIGIN_COLUMN - 3, what);
        }
        screen_wrap(stdout, ORIGIN_COLUMN, ORIGIN_COLUMN, safe);
    }
    putchar('\n');
}

/* ---- the feed ---------------------------------------------------------------------------------
 */

/* Closing the balance moves an ion that was given; any other in the list was not. */
static const char *given_or_assumed(const struct scenario *s, int i)
{
    const struct completion *c = &s->completion;
    for (int n = 0; n < c->assumptions; n++)
        if (strcmp(c->assumed[n].key, species[i].key) == 0)
            return isnan(s->analysis.ion[i]) ? "   assumed" : "   given, moved to balance";
    return "";
}

static void tell_ion(const struct scenario *s, int i)
{
    const double amount = s->completion.c[i];
    char mass[SCREEN_CELL];
    if (amount <= 0.0)
        return;
    const char *known = given_or_assumed(s, i);
    printf("  %-12s %9s mg/L", species[i].key,
           screen_number(1e3 * species[i].molar_mass * amount, mass));
    if (i <= FLUORIDE)
        printf(" %9.3f meq/L", abs(species[i].charge) * amount);
    else if (known[0] != '\0')
        printf(" %15s", "");
    printf("%s\n", known);
}

static void tell_carbon_dioxide(const struct completion *c)
{
    char co2[SCREEN_CELL], low[SCREEN_CELL], high[SCREEN_CELL];
    printf("  %-12s %9s mg/L   with pH 0.3 off: %s to %s mg/L\n", "free CO2",
           screen_number(1e3 * CO2_MASS * c->co2, co2),
           screen_number(1e3 * CO2_MASS * c->co2_low, low),
           screen_number(1e3 * CO2_MASS * c->co2_high, high));
}

static void tell_feed(const struct glance *k)
{
    const struct completion *c = &k->scenario.completion;
    puts("FEED as completed");
    for (int i = 0; i <= FLUORIDE; i++)
        tell_ion(&k->scenario, i);
    char number[SCREEN_CELL];
    const struct speciation forms = water_speciate(c->c, 25.0);
    printf("  %-12s %9s mg/L\n", "bicarbonate", screen_number(61.0168 * forms.hco3, number));
    tell_ion(&k->scenario, SILICA);
    tell_carbon_dioxide(c);
    printf("  pH %.2f, %.0f uS/cm at %.0f %s; a pocket meter shows %.0f ppm\n", c->ph,
           1e4 * c->conductivity, amount_number(AMOUNT_TEMPERATURE, METER_AT),
           amount_unit(AMOUNT_TEMPERATURE), channel_ppm(&k->scenario.plant, c->conductivity));
    if (isfinite(c->balance))
        printf("  ion balance of what was given: %+.1f %%\n", c->balance);
    for (int i = 0; i < c->assumptions; i++) {
        const bool warm = strcmp(c->assumed[i].unit, "degC") == 0;
        const double value = c->assumed[i].value;
        const int column =
            printf("  assumed: %s %s %s: ", c->assumed[i].key,
                   screen_number(warm ? amount_number(AMOUNT_TEMPERATURE, value) : value, number),
                   warm ? amount_unit(AMOUNT_TEMPERATURE) : c->assumed[i].unit);
        char why[SCREEN_TEXT];
        snprintf(why, sizeof why, "pH is taken as measured at %.0f %s",
                 amount_number(AMOUNT_TEMPERATURE, value), amount_unit(AMOUNT_TEMPERATURE));
        screen_wrap(stdout, column, 11, warm ? why : c->assumed[i].why);
    }
    putchar('\n');
}

/* ---- the end ----------------------------------------------------------------------------------
 */

static void tell_cautions(void)
{
    puts("CAUTIONS");
    const char *const CAUTIONS[] = {
        "A simulation is no substitute for an independent physical safeguard: an overflow to a "
        "drain, a leak sensor that shuts the feed, the hand valve shut when you leave.",
        "Electricity near water: drip loops, residual-current protection, nothing plugged in below "
        "the water level.",
        "Air gaps at the tank inlet and at the drain; never join purified or served water to the "
        "house supply.",
        units_taste() == TASTE_US
            ? "One gallon weighs 8.3 lb: ask whether the floor carries the full tank."
            : "One litre weighs a kilogram: ask whether the floor carries the full tank.",
        "Stored low-mineral water is not drinking water by itself, and attacks copper, brass and "
        "zinc.",
        "Chlorine and chloramine harm animals and membranes.",
        "Local codes and licensed trades come first in plumbing and wiring.",
    };
    for (size_t i = 0; i < sizeof CAUTIONS / sizeof CAUTIONS[0]; i++) {
        printf("  - ");
        screen_wrap(stdout, 4, 4, CAUTIONS[i]);
    }
    putchar('\n');
}

void glance_print(const struct glance *k, bool values)
{
    if (values)
        tell_values(&k->scenario);
    tell_feed(k);
    glance_stops(k);
    glance_makes(k);
    glance_lasts(k);
    glance_new_parts(k);
    tell_cautions();
}
