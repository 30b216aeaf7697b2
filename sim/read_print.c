/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * read_print: the answer in three entries, then what it rests on, for a person with a meter in the
 * hand.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "read.h"
#include "screen.h"
#include "text.h"

static const double NINETY = 1.645; /* standard deviations on either side of 90 % */
static const double ODD = 2.0;      /* of them: not as expected */
static const double LEAST_SHARE = 0.01;
static const double DAY = 86400.0; /* s */

enum { COLUMNS = 5, HUNDRED = 100 };

static double expected(const struct read_found *f, int k)
{
    return f->cause[0].node[0].value[k];
}

static bool compared(const struct read_found *f, int k)
{
    return !isnan(f->given.value[k]) && !(k == LOOK_PRESSURE && f->at_pressure) &&
           !(k == LOOK_TEMPERATURE && f->at_temperature);
}

static double off(const struct read_found *f, int k)
{
    return (f->given.value[k] - expected(f, k)) / f->sd[k];
}

/* "5.1 ppm (3.1 to 7.1)" */
static char *range_of(int k, double middle, double sd, char out[READ_CELL * 3])
{
    char value[READ_CELL], low[READ_CELL], high[READ_CELL];
    const bool signed_value = k == LOOK_TEMPERATURE;
    read_value((enum look)k, middle, value);
    read_value((enum look)k, signed_value ? middle - NINETY * sd : fmax(middle - NINETY * sd, 0.0),
               low);
    read_value((enum look)k, middle + NINETY * sd, high);
    low[strcspn(low, " ")] = '\0';
    high[strcspn(high, " ")] = '\0';
    if (k == LOOK_PH) {
        snprintf(low, sizeof low, "%.1f", middle - NINETY * sd);
        snprintf(high, sizeof high, "%.1f", middle + NINETY * sd);
    }
    snprintf(out, READ_CELL * 3, "%.40s (%.40s to %.40s)", value, low, high);
    return out;
}

/* A reading with the digits that its meter shows. */
static char *as_read(const struct read_found *f, int k, char out[READ_CELL])
{
    if (k > LOOK_PRODUCT)
        return read_value((enum look)k, f->given.value[k], out);
    const double digits = -floor(log10(fmax(1e3 * f->given.digit[k], 1e-3)) + 1e-6);
    snprintf(out, READ_CELL, "%.*f ppm", (int)fmax(digits, 0.0), 1e3 * f->given.value[k]);
    return out;
}

static int of_hundred(double share)
{
    return (int)fmin(fmax(round(HUNDRED * share), 0.0), HUNDRED - 1);
}

/* ---- the first three entries ------------------------------------------------------------------
 */

static void tell_readings(const struct read_found *f, FILE *out)
{
    char words[SCREEN_TEXT] = "", value[READ_CELL], range[READ_CELL * 3];
    int odd = 0, all = 0;
    for (int k = 0; k < LOOK_READABLE; k++) {
        if (!compared(f, k))
            continue;
        all++;
        if (fabs(off(f, k)) <= ODD)
            continue;
        text_append(words, sizeof words, "%s%s %s where the model expects %s", odd++ ? "; " : "",
                    read_instruments[k].title, as_read(f, k, value),
                    range_of(k, expected(f, k), f->sd[k], range));
    }
    if (odd == 0)
        text_append(words, sizeof words,
                    "%s as the model expects, within what it may be off (nine times in ten)",
                    all == 1   ? "it is"
                    : all == 2 ? "both are"
                               : "all are");
    else if (odd < all)
        text_append(words, sizeof words, "; the rest is as expected");
    screen_entry(out, "Readings", "%s.", words);
}

/* Explanations as good as the likeliest, with their shares. */
static int tell_alike(const struct read_found *f, char *words, size_t size)
{
    int alike = 0;
    for (int i = 1; i < f->ranked; i++) {
        const struct read_cause *c = &f->cause[f->order[i]];
        if (read_alike(f, c))
            text_append(words, size, "%s%s (%d)",
                        alike++ ? ", " : "  Hardly less likely: ", c->row->title,
                        of_hundred(c->share));
    }
    return alike;
}

static void tell_likeliest(const struct read_found *f, FILE *out)
{
    const struct read_cause *c = &f->cause[f->order[0]];
    char words[SCREEN_TEXT] = "", size[READ_WORDS], title[READ_WORDS];
    if (c->misses > 2.5)
        text_append(words, sizeof words, "nothing on the list explains this by itself; nearest: ");
    text_append(words, sizeof words, "%s", read_title(f, c, title));
    if (read_size(c, units_taste(), size)[0] != '\0')
        text_append(words, sizeof words, ", %s", size);
    text_append(words, sizeof words, ": %s, %d chances in 100 of this list.", read_fits(c),
                of_hundred(c->share));
    if (tell_alike(f, words, sizeof words) > 0)
        text_append(words, sizeof words, ".");
    else if (f->ranked > 1) {
        const struct read_cause *next = &f->cause[f->order[1]];
        const double times = fmin(c->share / fmax(next->share, 1e-9), 99.0);
        text_append(words, sizeof words, "  %s%.2g times likelier than the next, %s.",
                    times < 99.0 ? "" : "More than ", times, next->row->title);
    }
    screen_entry(out, "Likeliest", "%s", words);
}

static void tell_next(const struct read_found *f, FILE *out)
{
    const struct read_next *n = read_best(f);
    char words[SCREEN_TEXT] = "", range[READ_CELL * 3];
    if (!n) {
        screen_entry(out, "Measure", "%s",
                     f->order[0] == 0 ? "no more today."
                     : read_settled(f)
                         ? "hardly any doubt is left on this list: look there, and read "
                           "again when it is mended."
                         : "nothing on the list would tell more.");
        return;
    }
    text_append(words, sizeof words, "%s", read_instruments[n->what].how);
    const struct read_cause *two[] = { &f->cause[f->order[0]], read_rival(f, n->what) };
    for (int i = 0; i < 2 && two[i]; i++) {
        const struct read_cause *c = two[i];
        text_append(words, sizeof words, "%s%s %s%s", i == 0 ? ": " : ", ", c->row->title,
                    i == 0 ? "expects " : "",
                    range_of((int)n->what, c->expect[n->what], c->sd[n->what], range));
    }
    screen_entry(out, "Measure", "%s.", words);
}

/* ---- tables -----------------------------------------------------------------------------------
 */

static void tell_table(const struct read_found *f, FILE *out)
{
    static char cell[LOOK_READABLE + 1][COLUMNS][READ_CELL * 3];
    const char *cells[(LOOK_READABLE + 1) * COLUMNS] = { "what", "read", "expected (range)", "off",
                                                         "error" };
    int rows = 1;
    for (int k = 0; k < LOOK_READABLE; k++) {
        if (!compared(f, k))
            continue;
        char value[READ_CELL];
        snprintf(cell[rows][0], sizeof cell[rows][0], "%s", read_instruments[k].title);
        snprintf(cell[rows][1], sizeof cell[rows][1], "%s", as_read(f, k, value));
        range_of(k, expected(f, k), f->sd[k], cell[rows][2]);
        snprintf(cell[rows][3], sizeof cell[rows][3], "%+.1f",
                 fabs(off(f, k)) < 0.05 ? 0.0 : off(f, k));
        snprintf(cell[rows][4], sizeof cell[rows][4], "%s",
                 read_width((enum look)k, read_error(f, (enum look)k, expected(f, k)), value));
        for (int c = 0; c < COLUMNS; c++)
            cells[rows * COLUMNS + c] = cell[rows][c];
        rows++;
    }
    fputs("\nWHAT WAS READ, and what the model expects with nothing wrong\n", out);
    screen_table(out, cells, rows, COLUMNS);
}

static void tell_conditions(const struct read_found *f, FILE *out)
{
    char words[SCREEN_TEXT] = "", day[SCREEN_CELL], now[READ_CELL], season[READ_CELL];
    const char *start = f->scenario->plan.start_date;
    text_append(words, sizeof words, "On %s, filling the tank: water of ",
                screen_day(f->t / DAY, start[0] ? start : NULL, day));
    text_append(
        words, sizeof words, "%s (%s%s)", read_value(LOOK_TEMPERATURE, f->place.temperature, now),
        f->at_temperature ? "read; the scenario has " : "by the scenario",
        f->at_temperature ? read_value(LOOK_TEMPERATURE, f->season_temperature, season) : "");
    text_append(words, sizeof words, " at %s (%s%s).",
                read_value(LOOK_PRESSURE, f->place.pressure, now),
                f->at_pressure ? "read; the scenario has " : "by the scenario",
                f->at_pressure ? read_value(LOOK_PRESSURE, f->season_pressure, season) : "");
    fputs("  ", out);
    screen_wrap(out, 2, 2, words);
}

static void tell_one(const struct read_found *f, const struct read_cause *c, int number, FILE *out)
{
    char words[SCREEN_TEXT] = "", size[READ_WORDS], title[READ_WORDS];
    text_append(words, sizeof words, "%s: %d in 100; %s, off by %.1f errors",
                read_title(f, c, title), of_hundred(c->share), read_fits(c), c->misses);
    if (read_size(c, units_taste(), size)[0] != '\0')
        text_append(words, sizeof words, "\n%s", size);
    fprintf(out, "%3d. ", number);
    screen_wrap(out, 5, 5, words);
}

static void tell_explanations(const struct read_found *f, FILE *out)
{
    int told = 0;
    fputs("\nEXPLANATIONS, one at a time, the likeliest first\n", out);
    while (told < f->ranked && f->cause[f->order[told]].share >= LEAST_SHARE) {
        tell_one(f, &f->cause[f->order[told]], told + 1, out);
        told++;
    }
    if (told < f->ranked)
        fprintf(out, "     and %d more, each less than 1 in 100\n", f->ranked - told);
}

static void tell_expectations(const struct read_found *f, const struct read_next *n, FILE *out)
{
    char range[READ_CELL * 3];
    for (int i = 0; i < f->ranked; i++) {
        const struct read_cause *c = &f->cause[f->order[i]];
        if (read_alike(f, c) || c == read_rival(f, n->what))
            fprintf(out, "     %-36s %s\n", c->row->title,
                    range_of((int)n->what, c->expect[n->what], c->sd[n->what], range));
    }
}

static void tell_measurements(const struct read_found *f, FILE *out)
{
    static const char *const effort[] = { "at hand", "borrowed or cheap", "a kit" };
    fputs("\nWHAT WOULD TELL THEM APART, and what each explanation expects of it\n", out);
    for (int e = 0; e < READ_EFFORTS; e++) {
        const struct read_next *n = &f->next[e];
        char words[SCREEN_TEXT] = "";
        if (n->removes <= READ_TELLS || read_settled(f))
            continue;
        text_append(words, sizeof words, "%s: %s; removes %d in 100 of the doubt", effort[e],
                    read_instruments[n->what].how, of_hundred(n->removes));
        fputs("  ", out);
        screen_wrap(out, 2, 2, words);
        tell_expectations(f, n, out);
    }
    if (!read_best(f))
        fputs("  hardly any doubt is left, or nothing on the list would\n", out);
}

/* ---- what is not seen -------------------------------------------------------------------------
 */

static void tell_not_shown(const struct read_found *f, FILE *out)
{
    char words[SCREEN_TEXT] = "";
    int n = 0;
    for (int i = 1; i < READ_CAUSES; i++)
        if (f->cause[i].nodes > 0 && !f->cause[i].seen)
            text_append(words, sizeof words, "%s%s", n++ ? ", " : "", f->cause[i].row->title);
    if (n == 0)
        return;
    fputs("\nWHAT THESE READINGS DO NOT SHOW, at any size that was tried\n  ", out);
    screen_wrap(out, 2, 2, words);
}

static void tell_unseen(const struct read_found *f, FILE *out)
{
    const struct read_cause *c = &f->cause[f->order[0]];
    char silica[READ_CELL * 3], carbon[READ_CELL * 3], gas[READ_CELL * 3], oxidant[READ_CELL * 3];
    fputs("\nWHAT NO METER SEES, if the likeliest holds\n", out);
    fprintf(out, "  silica in the product              %s\n",
            range_of(LOOK_SILICA, c->expect[LOOK_SILICA], c->sd[LOOK_SILICA], silica));
    fprintf(
        out, "  free carbon dioxide, permeate      %s\n",
        range_of(LOOK_PERMEATE_CO2, c->expect[LOOK_PERMEATE_CO2], c->sd[LOOK_PERMEATE_CO2], gas));
    fprintf(out, "  all carbon in the product, as CO2  %s\n",
            range_of(LOOK_CARBON, c->expect[LOOK_CARBON], c->sd[LOOK_CARBON], carbon));
    fprintf(out, "  chlorine at the membrane, as Cl2   %s\n",
            range_of(LOOK_OXIDANT, c->expect[LOOK_OXIDANT], c->sd[LOOK_OXIDANT], oxidant));
    fputs("  ", out);
    screen_wrap(out, 2, 2, "Not modelled and not seen: boron, organic matter, bacteria.");
}

static void tell_parts(const struct read_found *f, FILE *out)
{
    const struct plant *p = f->place.plant;
    char words[SCREEN_TEXT] = "";
    for (int k = 0; k < p->stages; k++) {
        const struct stage *s = &p->train[k];
        if (s->kind != &stage_pump)
            text_append(words, sizeof words, "%s%s %d %%%s", words[0] ? ", " : "", s->name,
                        (int)round(100.0 * s->kind->used(&s->params, &f->place.state->stage[k])),
                        read_is_due(f, k) ? " (due)" : "");
    }
    fputs("\nHOW FAR THE PARTS ARE USED that day, by the model alone\n  ", out);
    screen_wrap(out, 2, 2, words);
}

static void tell_method(FILE *out)
{
    fputs("\nHOW THIS WAS FOUND\n  ", out);
    screen_wrap(
        out, 2, 2,
        "The scenario was run to that day.  Each explanation changes one thing by every size "
        "of its range, all alike likely; the chances are how well the readings then agree, "
        "given the errors of measuring and what the model may be off.  Nothing wrong is "
        "taken as ten times as likely beforehand as each of the others (assumption).  A small "
        "fault hides behind these doubts, and two at once are not tried.  docs/read.md");
}

void read_print(const struct read_found *f, FILE *out)
{
    tell_readings(f, out);
    tell_likeliest(f, out);
    tell_next(f, out);
    tell_table(f, out);
    tell_conditions(f, out);
    tell_explanations(f, out);
    tell_measurements(f, out);
    tell_not_shown(f, out);
    tell_unseen(f, out);
    tell_parts(f, out);
    tell_method(out);
}
