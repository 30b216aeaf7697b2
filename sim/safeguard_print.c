/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * safeguard_print: what further safeguards would buy, in words and for programs.
 */
#include <math.h>
#include <string.h>

#include "safeguard.h"
#include "screen.h"
#include "text.h"

static const double YEAR = 365.25 * 86400.0; /* s */

enum { MONEY = 64 };

/* Two digits of what nobody knows better, with the currency. */
static char *money_about(const struct prices *p, double x, char out[MONEY])
{
    char currency[4 * sizeof p->currency];
    text_escape(p->currency, currency, sizeof currency);
    const double scale = x > 0.0 ? pow(10.0, floor(log10(x)) - 1.0) : 1.0;
    snprintf(out, MONEY, x >= 1e7 ? "%.1e %s" : "%.6g %s", scale * floor(x / scale + 0.5),
             currency);
    return out;
}

/* A price as it was given. */
static char *money(const struct prices *p, double x, char out[MONEY])
{
    char currency[4 * sizeof p->currency];
    text_escape(p->currency, currency, sizeof currency);
    snprintf(out, MONEY, "%.6g %s", x, currency);
    return out;
}

static void tell(const struct safeguard_row *r, const struct prices *p, FILE *out)
{
    char words[SCREEN_TEXT] = "", chance[CHANCE_WORDS], litres[SCREEN_CELL], once[MONEY];
    char name[PHRASE_WORDS];
    fputs("  - ", out);
    text_append(words, sizeof words,
                "%s: %s; at most %s on the floor; %d fault%s and %d pair%s spill",
                phrase_say(&r->words, units_taste(), name), chance_words(&r->chance, chance),
                screen_litres(r->floor, litres), r->singles, r->singles == 1 ? "" : "s", r->pairs,
                r->pairs == 1 ? "" : "s");
    if (r->short_of_water)
        text_append(words, sizeof words, "; a normal year then runs short of water");
    if (r->price >= 0.0)
        text_append(words, sizeof words, "; %s", money(p, r->price, once));
    if (!isnan(r->per_spill))
        text_append(words, sizeof words, ", %s for each spill avoided",
                    money_about(p, r->per_spill, once));
    screen_wrap(out, 4, 4, words);
}

static void tell_first(const struct safeguards *s, const struct prices *p, FILE *out)
{
    const struct safeguard_row *r = safeguard_first(s);
    char words[SCREEN_TEXT] = "", with[CHANCE_WORDS], without[CHANCE_WORDS], each[MONEY];
    char name[PHRASE_WORDS];
    if (!r) {
        screen_entry(out, "First",
                     "none of these makes a spill rarer without running the plant short.");
        return;
    }
    text_append(words, sizeof words, "%s: a spill %s instead of %s.",
                phrase_say(&r->words, units_taste(), name), chance_words(&r->chance, with),
                chance_words(&s->without.chance, without));
    if (safeguard_priced(s))
        text_append(words, sizeof words,
                    "  It is the cheapest for what it does: %s for each spill avoided, if it lasts "
                    "%.3g years.",
                    money_about(p, r->per_spill, each), p->safeguard_life / YEAR);
    else
        text_append(words, sizeof words,
                    "  It leaves the fewest.  Which is the cheapest for what it does is told when "
                    "prices.safeguards has all prices.");
    screen_entry(out, "First", "%s", words);
}

void safeguard_print(const struct safeguards *s, const struct prices *p, FILE *out)
{
    fputs("\nWHAT A FURTHER SAFEGUARD WOULD BUY, the best first; its own faults included\n", out);
    if (s->rows == 0) {
        fputs("  everything on the list is there already, or does not fit\n", out);
        return;
    }
    struct safeguard_row as_it_is = s->without;
    as_it_is.short_of_water = false; /* told elsewhere */
    as_it_is.price = as_it_is.per_spill = NAN;
    tell(&as_it_is, p, out);
    for (int i = 0; i < s->rows; i++)
        tell(&s->row[i], p, out);
    if (s->two)
        tell(&s->both, p, out);
    tell_first(s, p, out);
}

static json_t *number(double x)
{
    return isfinite(x) ? json_real(x) : json_null();
}

static json_t *row_json(const struct safeguards *s, const struct safeguard_row *r,
                        const struct prices *p)
{
    const bool changed = r != &s->without;
    char name[PHRASE_WORDS];
    return json_pack("{s:s, s:f, s:f, s:f, s:f, s:i, s:i, s:b, s:o, s:s, s:o, s:f, s:b}",
                     "safeguard", phrase_say(&r->words, TASTE_METRIC, name), "mean_a_year",
                     r->chance.mean, "low_a_year", r->chance.low, "high_a_year", r->chance.high,
                     "floor_L", 1e3 * r->floor, "faults_that_spill", r->singles, "pairs_that_spill",
                     r->pairs, "runs_short_of_water", r->short_of_water, "price",
                     number(changed ? r->price : NAN), "currency", p->currency,
                     "price_for_each_spill_avoided", number(changed ? r->per_spill : NAN),
                     "life_years", p->safeguard_life / YEAR, "first", r == safeguard_first(s));
}

json_t *safeguard_json(const struct safeguards *s, const struct prices *p)
{
    json_t *rows = json_array();
    json_array_append_new(rows, row_json(s, &s->without, p));
    for (int i = 0; i < s->rows; i++)
        json_array_append_new(rows, row_json(s, &s->row[i], p));
    if (s->two)
        json_array_append_new(rows, row_json(s, &s->both, p));
    return rows;
}
