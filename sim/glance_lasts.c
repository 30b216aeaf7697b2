/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * glance_lasts: how long each cartridge lasts on steady mean water, what ends it, and how new parts
 * are flushed.
 */
#include "glance_inner.h"

#include <math.h>
#include <stdio.h>

#include "amount.h"
#include "screen.h"
#include "text.h"

static const double DAY = 86400.0;              /* s */
static const double LITRE = 1e3;                /* per m3 */
static const double CHLORINE_CONTACT = 30.0;    /* s, rule for a carbon block */
static const double CHLORAMINE_CONTACT = 600.0; /* s, rule for complete removal */

static void tell_litres(double litres, double horizon)
{
    char cell[SCREEN_CELL];
    printf("%s%s", isinf(litres) ? "more than " : "",
           amount_words(AMOUNT_WATER, isinf(litres) ? horizon : litres, 0, cell));
}

static void tell_span(double litres, const struct sizing *z, int which)
{
    const double ten_years = z->need_mean * 3652.5 * DAY; /* m3 */
    if (litres < 1.0) {
        printf("over from the first %s", amount_one());
        return;
    }
    if (isinf(litres) && ten_years > 0.0 && z->horizon[which] >= ten_years)
        printf("more than ten years");
    else
        tell_litres(litres, LITRE * z->horizon[which]);
    if (isinf(litres) && ten_years > 0.0 && z->horizon[which] >= ten_years)
        return;
    if (z->need_mean > 0.0)
        printf(", %.0f days", fmin(litres / LITRE, z->horizon[which]) / (DAY * z->need_mean));
}

const char *glance_end(const struct stage *s, enum sizing_end why)
{
    switch (why) {
    case END_NONE:
        return "does not end within what was looked at";
    case END_UNKNOWN:
        return s->kind == &stage_membrane || s->kind == &stage_pump
                   ? "a run shows its wear"
                   : "no membrane or meter right behind it tells when it ends";
    case END_DEPOSIT:
        return "clogged with sediment";
    case END_OXIDANT:
        return "lets 0.1 mg/L of oxidant through to the membrane";
    case END_READING:
        return "the product reading comes to its limit (1 ppm if none is set)";
    }
    return "";
}

/* What holds the sites of a spent bed, the largest first. */
static void tell_shares(const struct sizing_life *l)
{
    char words[SCREEN_TEXT] = "";
    bool told[SPECIES_COUNT] = { false };
    for (int n = 0; n < 4; n++) {
        int most = -1;
        for (int i = 0; i < EXCHANGED_COUNT; i++)
            if (!told[i] && l->share[i] > 0.02 && (most < 0 || l->share[i] > l->share[most]))
                most = i;
        if (most < 0)
            break;
        told[most] = true;
        text_append(words, sizeof words, "%s%s %.0f %%", n > 0 ? ", " : "",
                    most == CARBON ? "carbon dioxide and bicarbonate" : species[most].key,
                    100.0 * l->share[most]);
    }
    if (words[0] == '\0')
        return;
    const int column = printf("    what uses it up, share of its own resin: ");
    screen_wrap(stdout, column, 6, words);
}

/* How the reading ends a bed; what loose packing lets past a fresh one is no end. */
static void tell_reading(const struct glance *k, const struct sizing_life *l)
{
    const bool set = !isnan(k->scenario.plan.limits.product);
    const double limit = sizing_product_limit(&k->scenario.plan);
    char words[SCREEN_TEXT] = "", fresh[SCREEN_CELL], due[SCREEN_CELL], least[SCREEN_CELL];
    screen_number(1e3 * limit, least);
    screen_number(1e3 * l->due, due);
    if (l->fresh >= limit)
        text_append(words, sizeof words,
                    "even a fresh bed shows %s ppm on this water (loose packing or too fast a flow "
                    "lets a share past)"
                    ", so it never keeps to %s ppm; this is its life to %s ppm",
                    screen_number(1e3 * l->fresh, fresh), least, due);
    else
        text_append(words, sizeof words, "the product reading comes to %s ppm (%s)", due,
                    set ? "its limit" : "common practice; no limit is set");
    printf("    ");
    screen_wrap(stdout, 4, 4, words);
}

static void tell_range(const struct glance *k, const struct stage *s, const struct sizing_life *l)
{
    const double *horizon = k->sizing.horizon;
    if (isinf(l[LIFE_SHORT].litres) || l[LIFE_MIDDLE].litres < 1.0)
        return;
    printf("    range (%s): ", s->kind == &stage_resin ? "CO2 of a pH 0.3 lower or higher"
                                                       : "the usual range of its capacity");
    tell_litres(l[LIFE_SHORT].litres, LITRE * horizon[LIFE_SHORT]);
    printf(" to ");
    tell_litres(l[LIFE_LONG].litres, LITRE * horizon[LIFE_LONG]);
    putchar('\n');
}

static void tell_life(const struct glance *k, int stage)
{
    const struct stage *s = &k->scenario.plant.train[stage];
    const struct sizing_life *l = k->sizing.life[stage];
    const struct sizing_life *middle = &l[LIFE_MIDDLE];
    char cell[SCREEN_CELL];
    if (s->kind == &stage_membrane || s->kind == &stage_pump)
        return;
    printf("  %s (%s):%s", s->name, s->kind->title, middle->why == END_UNKNOWN ? "" : " ");
    if (middle->why == END_UNKNOWN) {
        printf("\n    %s\n", glance_end(s, END_UNKNOWN));
        return;
    }
    tell_span(middle->litres, &k->sizing, LIFE_MIDDLE);
    putchar('\n');
    if (!isnan(middle->due))
        tell_reading(k, middle);
    else if (middle->why != END_NONE)
        printf("    %s\n", glance_end(s, middle->why));
    tell_range(k, s, l);
    if (s->kind != &stage_resin || middle->why != END_READING)
        return;
    tell_shares(middle);
    if (middle->unseen < 1.0)
        printf("    silica passes from the first %s on, and the meter does not show it\n",
               amount_one());
    else if (middle->unseen < middle->litres)
        printf("    silica passes from %s on, and the meter does not show it\n",
               amount_words(AMOUNT_WATER, middle->unseen, 0, cell));
}

static void tell_contact(const struct glance *k, int stage)
{
    const struct plant *p = &k->scenario.plant;
    const double seconds = k->sizing.contact[stage];
    if (p->train[stage].kind != &stage_carbon)
        return;
    const bool chloramine = p->feed.c[CHLORAMINE] > 0.0;
    const double rule = chloramine ? CHLORAMINE_CONTACT : CHLORINE_CONTACT;
    char words[SCREEN_TEXT];
    snprintf(words, sizeof words,
             "contact %.0f s at the highest flow; rule of the trade for %s: %.0f s%s", seconds,
             chloramine ? "chloramine" : "chlorine", rule,
             seconds < rule ? ", so expect only part of it removed" : "");
    printf("    ");
    screen_wrap(stdout, 4, 4, words);
}

/* How near the concentrate is to dropping scale at the wall, at the mean conditions. */
static void tell_scale(const struct sizing *z)
{
    const struct {
        const char *what;
        double index;
    } rows[] = { { "calcite", z->calcite }, { "gypsum", z->gypsum }, { "silica", z->silica } };
    printf("    saturation at its wall (log10):");
    for (int i = 0; i < 3; i++)
        printf("%s %s %.1f", i > 0 ? "," : "", rows[i].what, rows[i].index);
    putchar('\n');
    for (int i = 0; i < 3; i++)
        if (rows[i].index > 0.0)
            printf("      %s can form\n", rows[i].what);
}

static void tell_membrane(const struct glance *k)
{
    puts("  membrane: due when its standardised flow is down by a third or its rejection\n"
         "    under 95 % (common practice); wear.csv of a run shows both");
    const struct plant *p = &k->scenario.plant;
    if (!p->train[p->membrane].params.membrane.wear.on)
        puts("    its wear is switched off in this scenario");
    tell_scale(&k->sizing);
    if (p->feed.c[CHLORINE] > 0.0)
        puts("    most to be feared: chlorine, once the carbon in front of it lets it through");
}

/* The largest share of what used a bed up. */
static const char *used_up_by(const struct sizing_life *l)
{
    int most = CARBON;
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        if (l->share[i] > l->share[most])
            most = i;
    return most == CARBON ? "carbon dioxide and bicarbonate" : species[most].key;
}

/* In one line, the first to end first, and why. */
static void tell_order(const struct glance *k)
{
    const struct plant *p = &k->scenario.plant;
    bool told[STAGES_MAX] = { false };
    char words[SCREEN_TEXT] = "", litres[SCREEN_CELL];
    for (int n = 0; n < p->stages; n++) {
        int next = -1;
        for (int i = 0; i < p->stages; i++) {
            const double life = k->sizing.life[i][LIFE_MIDDLE].litres;
            const bool ends = isfinite(life) && k->sizing.life[i][LIFE_MIDDLE].why > END_UNKNOWN;
            if (ends && !told[i] && (next < 0 || life < k->sizing.life[next][LIFE_MIDDLE].litres))
                next = i;
        }
        if (next < 0)
            break;
        told[next] = true;
        const struct sizing_life *l = &k->sizing.life[next][LIFE_MIDDLE];
        const bool at_once = l->litres < 1.0; /* as tell_span says it */
        text_append(words, sizeof words, "%s%s %s%s (%s)", n == 0 ? "" : ", then ",
                    p->train[next].name, at_once ? "from the first " : "at ",
                    at_once ? amount_one() : screen_litres(l->litres / LITRE, litres),
                    l->why == END_READING   ? used_up_by(l)
                    : l->why == END_OXIDANT ? "oxidant comes through"
                                            : "clogged");
    }
    if (words[0] != '\0')
        glance_item("First to end: ", words);
}

void glance_lasts(const struct glance *k)
{
    const struct plant *p = &k->scenario.plant;
    printf("CONSUMABLES on steady mean water: %ss of product, days of need\n", amount_one());
    if (!(k->sizing.need_mean > 0.0))
        puts("  days cannot be told without a need");
    if (k->sizing.throttled && k->sizing.need_mean > 0.0)
        glance_item(
            "Counted with the drain that never rests, ",
            "and, at worst, with the saltier water of a membrane throttled to an even need; "
            "where the need "
            "comes in gulps the resin lasts longer, but shows more than its limit for a while "
            "before each shutting.");
    tell_order(k);
    for (int i = 0; i < p->stages; i++) {
        tell_life(k, i);
        tell_contact(k, i);
    }
    if (p->membrane >= 0)
        tell_membrane(k);
    putchar('\n');
}

/* Why a new part is flushed before use: common practice, from memory. */
static const char *flushed_out(const struct stage_kind *kind)
{
    return kind == &stage_sediment   ? "loose fibres and dust"
           : kind == &stage_carbon   ? "fines of carbon"
           : kind == &stage_membrane ? "its preservative; the product is not kept meanwhile"
                                     : "amines and fines; the product is not kept meanwhile";
}

void glance_new_parts(const struct glance *k)
{
    const struct scenario *s = &k->scenario;
    puts("NEW PARTS, flushed to the drain before use; feed for each alone, mean water");
    for (int i = 0; i < s->plant.stages; i++) {
        const struct stage *part = &s->plant.train[i];
        const double time = commission_time(&s->plan.commissioning, part->kind);
        char span[SCREEN_CELL], volume[SCREEN_CELL], words[SCREEN_TEXT] = "";
        if (part->kind == &stage_pump)
            continue;
        if (time > 0.0)
            text_append(words, sizeof words, ": %s, %s: %s", screen_span(time, span),
                        screen_litres(k->sizing.flush[i], volume), flushed_out(part->kind));
        else
            text_append(words, sizeof words, ": not flushed");
        glance_item(part->name, words);
    }
    puts(s->plan.commissioning.at_start ? "  those at the start are new: they are flushed first"
                                        : "  those at the start are taken to have been flushed");
    putchar('\n');
}
