/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page_figures: the figures of a folder with what is seen in them, in words, for those who do not
 * see them.  Page: docs/page.md.
 *
 * A sentence may hold names of the answer for programs in braces ("{levels.tank_lowest_cm}", shown
 * in the taste's unit, which is "{#_cm}"); one whose number is not there is left out.  A % before
 * the name: a share, shown in per cent.
 */
#include <string.h>

#include "page.h"
#include "screen.h"
#include "sheet.h"
#include "text.h"

enum { SENTENCES = 5, KEY_ROOM = 96, ROOM = 1600 };

static const struct figure_words {
    const char *name, *title;
    const char *sentence[SENTENCES];
} figures[] = {
    { "levels",
      "Levels and flow",
      { "Lines over the days of the run: the level of the tank with its rim, overflow and switch "
        "levels; "
        "level and salinity of the served water, where there is any; the flow of product. Grey "
        "bands are "
        "cuts of power, hatched ones of the supply; spills, dry spells, faults and replacements "
        "are marked "
        "above.",
        "The tank stays between {levels.tank_lowest_cm} and {levels.tank_highest_cm} {#_cm}.",
        "Salinity lies between {levels.salinity_lowest_g_kg} and {levels.salinity_highest_g_kg} "
        "g/kg.",
        "Product flows at {water.least_product_flow_mL_min} to {water.most_product_flow_mL_min} "
        "{#_mL_min}." } },
    { "meters",
      "Meters",
      { "Lines over the days of the run: what meters on feed, permeate and product show, with the "
        "limits of "
        "change; below, silica and all inorganic carbon of the product, which no meter sees.",
        "At the end the feed reads {readings_at_end.feed_ppm}, the permeate "
        "{readings_at_end.permeate_ppm}, "
        "the product {readings_at_end.product_ppm} ppm.",
        "Silica passes 0.05 mg/L on day {first_passed.silica_over_0.05_mg_L.day}.",
        "The product reading comes to 1 ppm on day "
        "{first_passed.product_reading_at_1_ppm.day}." } },
    { "production",
      "Made and needed",
      { "Water a day over the run: made, drained and needed; and the temperature of the feed, as "
        "which what "
        "is made rises and falls.",
        "In all {water.product_L} {#_L} are made and {water.drain_L} {#_L} go to the drain.",
        "The feed has {water.coldest_feed_degC} to {water.warmest_feed_degC} {#_degC}." } },
    { "front",
      "Fronts in the resin",
      { "What sits on the sites of the resin against its depth, stacked, at up to four dates: the "
        "spent part "
        "grows from the inlet until it reaches the end.",
        "At the end {%share_of_life_used.resin} % of its life is used." } },
    { "wear",
      "Wear and season told apart",
      { "Lines over the days of the run: flow and salt passage of the membrane in per cent of new, "
        "standardised, so that only wear is left, beside the flow as it is; pressure lost in the "
        "sediment "
        "cartridge; temperature of the feed. Marks above show replacements." } },
    { "cost",
      "Cost",
      { "A bar for each of water, sewer, electricity and every cartridge; the same numbers as in "
        "the table of "
        "costs." } },
    { "pulse",
      "Permeate after a rest",
      { "What the permeate meter shows in the first minutes after rests of several lengths, new "
        "membrane, with "
        "the limit of change: high at first, then falling; the longer the rest the higher." } },
    { "times",
      "Time to the first drop",
      { "A row for each smallest set of faults that spills, the earliest first, on a logarithmic "
        "scale of time: "
        "a dot for the tank, a triangle for the served water; water on the floor beside. The same "
        "numbers as "
        "in the table of sets." } },
    { "pairs",
      "Every pair of faults",
      { "All faults on both axes. In each cell a letter: H spills within an hour, D within a day, "
        "L later, o no "
        "spill but short of water, a point neither, + not tried because one of the two spills "
        "alone. The "
        "sooner, the darker. Each fault alone stands framed on the diagonal.",
        "{faults_tried} faults and {pairs_tried} pairs were tried." } },
    { "shares",
      "Shares in the chance of a spill",
      { "Bars: the share of each set of faults, and of each part, in the chance of a spill; beside "
        "them how "
        "often, with the range of what the rates may be. The parts stand in the table of parts, "
        "too." } },
    { "worst",
      "Levels after the worst sets",
      { "Levels of tank and served water over hours after the sets of faults that spill soonest, "
        "with rim, "
        "overflow pipe and switches." } },
    { "inputs",
      "What the life hangs on",
      { "Bars: the share of each input in the spread of the life of the part that ends first, with "
        "an interval; "
        "dark: by itself." } },
    { "rinse",
      "Cost over interval and length of a rinse",
      { "A map: how long a rinse lasts (up) after how much making of water (across); blue where "
        "the cost of a "
        "year is within 1 and 5 per cent of the best, grey beyond, orange where it is dearer than "
        "no rinse; a "
        "star at the best." } },
    { "sweep",
      "Answers over the value",
      { "Panels, one an answer, money first: the answer over the value that was varied. A gap "
        "means that it "
        "never came. The same numbers as in the table of rows." } },
    { "map",
      "Answers over both values",
      { "Panels, one an answer, money first: darker is more, with numbers in the cells, over the "
        "two values "
        "that were varied. The same numbers as in the table of rows." } },
    { 0 },
};

/* ---- sentences --------------------------------------------------------------------------------
 */

/* The number that "a.b" names; keys may hold points themselves. */
static const json_t *value_of(const json_t *json, const char *path)
{
    const json_t *value = json_object_get(json, path);
    for (const char *dot = path; !value && (dot = strchr(dot, '.')) != NULL; dot++) {
        char key[KEY_ROOM];
        snprintf(key, sizeof key, "%.*s", (int)(dot - path), path);
        const json_t *inner = json_object_get(json, key);
        if (inner)
            value = value_of(inner, dot + 1);
    }
    return value;
}

/* Appends a sentence, or nothing if a number is missing. */
static void append(char out[ROOM], const char *sentence, const json_t *json)
{
    char filled[ROOM] = "", key[KEY_ROOM], number[SCREEN_CELL];
    for (const char *p = sentence; *p != '\0';) {
        const size_t n = strcspn(p, "{");
        text_append(filled, sizeof filled, "%.*s", (int)n, p);
        p += n;
        if (*p == '\0')
            break;
        const size_t length = strcspn(++p, "}");
        snprintf(key, sizeof key, "%.*s", (int)length, p);
        p += length + 1;
        if (key[0] == '#') {
            text_append(filled, sizeof filled, "%s", sheet_unit(key + 1));
            continue;
        }
        const bool share = key[0] == '%';
        const json_t *value = value_of(json, key + share);
        if (!json_is_number(value))
            return;
        text_append(
            filled, sizeof filled, "%s",
            screen_number((share ? 100.0 : 1.0) * sheet_shown(key, json_number_value(value)),
                          number));
    }
    text_append(out, ROOM, "%s%s", out[0] ? " " : "", filled);
}

/* ---- figures ----------------------------------------------------------------------------------
 */

static bool put_figure(struct page *p, const struct page_part *part, const struct figure_words *f,
                       int section)
{
    char name[PAGE_ID], id[PAGE_ID], words[ROOM] = "", label[2 * PAGE_ID], shown[RESULTS_PATH];
    snprintf(name, sizeof name, "figures/%s.svg", f->name);
    snprintf(id, sizeof id, "s%d-%s", section, f->name);
    snprintf(label, sizeof label, "Figure: %s", f->title);
    const struct page_file *file = page_folder_file(part, name);
    if (!file)
        return true;
    for (int i = 0; i < SENTENCES && f->sentence[i]; i++)
        append(words, f->sentence[i], part->json);
    const struct page_picture picture = { .id = id, .title = f->title, .description = words };
    fputs("<figure>\n", p->out);
    page_box(p, label);
    char why[PAGE_WORDS] = "";
    if (!page_svg(p->out, file->bytes, file->size, &picture, &p->bitmap, why)) {
        p->why[0] = '\0';
        text_append(p->why, sizeof p->why, "%s: %s holds %s",
                    text_escape(part->folder, shown, sizeof shown), name, why);
        return false;
    }
    page_box_end(p);
    fputs("<figcaption><strong>", p->out);
    page_text(p->out, f->title);
    fputs(".</strong> ", p->out);
    page_text(p->out, words);
    fputs("</figcaption>\n</figure>\n", p->out);
    return true;
}

bool page_figures(struct page *p, const struct page_part *part, int section)
{
    for (const struct figure_words *f = figures; f->name; f++)
        if (!put_figure(p, part, f, section))
            return false;
    return true;
}
