/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of sim/picture.h: signs, shares and levels of what `leat overflow` draws, the figures, the
 * text.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "fixture.h"
#include "folder.h"
#include "sim/picture.h"
#include "sim/render.h"

static const double DAY = 86400.0;
static const double HOUR = 3600.0;

/* ---- a plant that was searched ----------------------------------------------------------------
 */

struct search {
    struct scenario scenario;
    struct overflow_found found;
    struct picture *picture;
};

/* Singles and pairs of it spill: a high switch has a guard valve of its own, the pump has none. */
static struct search *searched(bool served)
{
    struct search *s = calloc(1, sizeof *s);
    cr_assert_not_null(s);
    s->scenario.plant = fixture_plant();
    s->scenario.plant.fill.high_switch = s->scenario.plant.fill.guard_valve = true;
    s->scenario.plant.fill.high_at = 0.75;
    s->scenario.plant.fill.switch_band = 0.01;
    if (!served) {
        s->scenario.plant.has_basin = false;
        s->scenario.plant.topoff.kind = TOPOFF_NONE;
        s->scenario.plant.tank_start = 0.69;
    }
    s->scenario.plan = fixture_plan(1.0);
    const struct overflow_options o = { .span = 2.0 * DAY };
    cr_assert_eq(overflow_find(&s->found, &s->scenario, &o), STATUS_OK);
    cr_assert_eq(picture_create(&s->found, &s->picture), STATUS_OK);
    cr_assert_gt(s->picture->spills, 1);
    return s;
}

static void forget(struct search *s)
{
    picture_free(s->picture);
    overflow_free(&s->found);
    free(s);
}

static bool spills(enum picture_sign s)
{
    return s == SIGN_HOUR || s == SIGN_DAY || s == SIGN_SPAN;
}

static void expect_matrix(const struct picture *p)
{
    const struct sets *s = &p->found->sets;
    int pairs = 0, untried = 0, spilling = 0;
    for (int i = 0; i < s->hazards; i++) {
        cr_assert_eq(spills(p->sign[i][i]), sets_spills(&s->single[i]));
        spilling += spills(p->sign[i][i]);
        for (int j = 0; j < i; j++) {
            cr_assert_eq(p->sign[i][j], p->sign[j][i], "%d %d", i, j);
            pairs += p->sign[i][j] != SIGN_APART;
            untried += p->sign[i][j] == SIGN_HOLDS;
            spilling += spills(p->sign[i][j]);
            if (p->sign[i][j] == SIGN_HOLDS)
                cr_assert(spills(p->sign[i][i]) || spills(p->sign[j][j]));
        }
    }
    cr_assert_eq(pairs, s->pairs);
    cr_assert_eq(untried, s->pairs - s->pairs_tried);
    cr_assert_eq(spilling, p->spills, "each smallest set has one cell on or under the diagonal");
}

static void expect_shares(const struct picture *p)
{
    const struct chances *c = &p->found->chances;
    double sum = 0.0, members = 0.0, parts = 0.0;
    for (int i = 0; i < p->spills; i++) {
        const double share = picture_share(p, &p->likely[i]->chance);
        sum += share;
        members += share * p->likely[i]->set->count; /* pairs are of two parts */
        cr_assert_eq(picture_number(p, p->likely[i]), i + 1);
    }
    cr_assert_float_eq(sum, 1.0, 1e-9);
    for (int i = 0; i < c->parts; i++) {
        const double share = picture_share(p, &c->part[i].chance);
        cr_assert(share > 0.0 && share <= 1.0 + 1e-9, "%s", c->part[i].part);
        cr_assert(c->part[i].chance.low < c->part[i].chance.high);
        parts += share;
    }
    cr_assert_float_eq(parts, members, 1e-9);
}

/* A part of one set alone is as likely as the set, with the same bounds. */
static int expect_bounds(const struct picture *p)
{
    const struct sets *s = &p->found->sets;
    int seen = 0;
    for (int k = 0; k < p->found->chances.parts; k++) {
        const struct chance_part *part = &p->found->chances.part[k];
        const struct chance_row *holder = NULL;
        int holders = 0;
        for (int i = 0; i < p->spills; i++)
            for (int m = 0; m < p->likely[i]->set->count; m++)
                if (strcmp(s->hazard[p->likely[i]->set->hazard[m]].part, part->part) == 0) {
                    holder = p->likely[i];
                    holders++;
                }
        if (holders != 1)
            continue;
        cr_assert_float_eq(part->chance.mean, holder->chance.mean, 1e-12);
        cr_assert_eq(part->chance.low, holder->chance.low);
        cr_assert_eq(part->chance.high, holder->chance.high);
        seen++;
    }
    return seen;
}

static void expect_track(const struct picture *p, const struct picture_track *k)
{
    const struct plant *plant = &p->found->scenario->plant;
    const struct set *set = k->row->set;
    const double drop = picture_first_drop(&k->damage);
    const struct picture_point *last = &k->point[k->points - 1];
    cr_assert_eq(drop, picture_first_drop(&set->worst), "looking changes nothing");
    const struct damage again = campaign_try(p->found->campaign, &set->first, NULL);
    cr_assert_eq(k->damage.floor, again.floor);
    cr_assert_eq(k->damage.highest, again.highest);
    cr_assert_gt(last->t, drop);
    cr_assert_gt(last->spilled, 0.0);
    if (k->damage.spill < k->damage.basin_spill)
        cr_assert_float_eq(last->tank, plant->tank.height, 1e-6);
    else
        cr_assert_float_eq(last->served, plant->basin.freeboard, 1e-6);
    cr_assert_eq(k->point[0].t, 0.0);
    for (int i = 1; i < k->points; i++) {
        cr_assert_gt(k->point[i].t, k->point[i - 1].t);
        /* but for the rounding of a difference */
        cr_assert_geq(k->point[i].spilled, k->point[i - 1].spilled - 1e-15);
        if (k->point[i].t < drop)
            cr_assert_float_eq(k->point[i].spilled, 0.0, 1e-12);
        else if (k->point[i].t > drop + 60.0)
            cr_assert_gt(k->point[i].spilled, 0.0);
    }
}

Test(picture, tables_agree_with_the_search, .timeout = 120)
{
    int alone = 0;
    for (int served = 0; served < 2; served++) {
        struct search *s = searched(served);
        const struct picture *p = s->picture;
        expect_matrix(p);
        expect_shares(p);
        alone += expect_bounds(p);
        cr_assert_gt(p->tracks, 0);
        for (int i = 0; i < p->tracks; i++)
            expect_track(p, &p->track[i]);
        for (int i = 1; i < p->spills; i++)
            cr_assert_leq(picture_first_drop(&p->early[i - 1]->set->worst),
                          picture_first_drop(&p->early[i]->set->worst));
        cr_assert_eq(p->track[0].row, p->early[0]);
        forget(s);
    }
    cr_assert_gt(alone, 0, "some part stands in one set only");
}

/* ---- made-up sets -----------------------------------------------------------------------------
 */

/* As many hazards as there can be, names as long as any; nothing spills but what is said later. */
static struct search *made_up(int hazards)
{
    static char mode[HAZARDS_MAX][24];
    struct search *s = calloc(1, sizeof *s);
    cr_assert_not_null(s);
    s->scenario.plant = fixture_plant();
    s->found.scenario = &s->scenario;
    s->found.span = 14.0 * DAY;
    struct sets *sets = &s->found.sets;
    sets->hazards = hazards;
    sets->pair = calloc((size_t)(hazards * hazards), sizeof *sets->pair);
    for (int i = 0; i < hazards; i++) {
        snprintf(mode[i], sizeof mode[i], "never trips %d", i + 1);
        sets->hazard[i] = (struct hazard){ .part = "low pressure switch", .mode = mode[i] };
        sets->single[i] =
            (struct set){ .count = 1, .hazard = { i }, .worst = campaign_unhurt(), .tried = true };
        for (int j = 0; j < i; j++)
            sets->pair[sets->pairs++] = (struct set){
                .count = 2, .hazard = { j, i }, .worst = campaign_unhurt(), .tried = true
            };
    }
    return s;
}

static void draw_up(struct search *s)
{
    cr_assert_eq(picture_create(&s->found, &s->picture), STATUS_OK);
}

Test(picture, a_sign_tells_how_soon)
{
    struct search *s = made_up(4);
    struct set *one = s->found.sets.single;
    one[0].worst.spill = HOUR;
    one[1].worst.basin_spill = HOUR + 1.0;
    one[2].worst.spill = DAY + 1.0;
    one[3].worst.low = 5.0;
    s->found.sets.pair[0].tried = false; /* of 0 and 1 */
    s->found.sets.pair[1].worst.spill = DAY;
    draw_up(s);
    const struct picture *p = s->picture;
    cr_assert_eq(p->sign[0][0], SIGN_HOUR);
    cr_assert_eq(p->sign[1][1], SIGN_DAY);
    cr_assert_eq(p->sign[2][2], SIGN_SPAN);
    cr_assert_eq(p->sign[3][3], SIGN_DRY);
    cr_assert_eq(p->sign[0][1], SIGN_HOLDS);
    cr_assert_eq(p->sign[2][0], SIGN_DAY);
    cr_assert_eq(p->sign[3][0], SIGN_HARMLESS);
    for (int i = 0; i < SIGN_COUNT; i++)
        for (int j = 0; j < i; j++)
            cr_assert_neq(picture_letter[i], picture_letter[j], "told without colour");
    forget(s);
}

static char *text_of(const struct picture *p)
{
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    picture_text(p, out);
    fclose(out);
    return text;
}

/* Returns how many lines begin with a number and end with a sign. */
static int expect_narrow(char *text)
{
    char *at = NULL;
    int rows = 0;
    for (char *line = strtok_r(text, "\n", &at); line; line = strtok_r(NULL, "\n", &at)) {
        cr_assert_leq(strlen(line), 80, "%s", line);
        for (const char *c = line; *c; c++)
            cr_assert(*c >= ' ' && *c <= '~', "byte %d", *c);
        rows += strstr(line, ". low pressure") != NULL;
    }
    return rows;
}

Test(picture, text_is_80_columns_wide_however_many_faults_there_are)
{
    for (int n = 1; n <= HAZARDS_MAX; n += n < 44 ? 4 : 1) {
        struct search *s = made_up(n);
        draw_up(s);
        char *text = text_of(s->picture);
        cr_assert(strstr(text, "Nothing that was tried spills"));
        cr_assert_eq(expect_narrow(text), n);
        free(text);
        forget(s);
    }
    struct search *s = searched(true);
    char *text = text_of(s->picture);
    cr_assert(strstr(text, "TIME TO THE FIRST DROP") && strstr(text, "MATRIX OF PAIRS") &&
              strstr(text, "WHAT A SPILL WOULD COME FROM") && strstr(text, "LEVELS"));
    expect_narrow(text);
    free(text);
    forget(s);
}

/* ---- figures ----------------------------------------------------------------------------------
 */

/* Draws into a folder of its own under a title that wants to be a command. */
static void expect_drawn(const struct picture *p, int figures, bool note)
{
    char dir[FOLDER_PATH], path[64];
    folder_make(dir);
    cr_assert_eq(chdir(dir), 0);
    FILE *out = fopen("limits.csv", "w");
    fputs("key,value\ntitle,\"`touch canary` x'; system('touch canary'); y='\"\n", out);
    fclose(out);
    struct drawing d = { .figures = picture_figures, .source = p };
    cr_assert_eq(render_figures(dir, &d), STATUS_OK);
    cr_assert_null(d.trouble, "%s", d.trouble ? d.trouble : "");
    cr_assert_eq(d.drawn, figures);
    cr_assert_eq(d.note != NULL, note);
    cr_assert_neq(access("canary", F_OK), 0);
    cr_assert_neq(access("figures/canary", F_OK), 0);
    for (int i = 0; picture_figures[i].name; i++) {
        snprintf(path, sizeof path, "figures/%s.svg", picture_figures[i].name);
        cr_assert_eq(access(path, F_OK) == 0, figures == 4 || i == 1, "%s", path);
    }
    cr_assert_eq(chdir("/"), 0);
    folder_remove(dir);
}

Test(picture, figures_are_drawn, .timeout = 120)
{
    for (int served = 0; served < 2; served++) {
        struct search *s = searched(served);
        expect_drawn(s->picture, 4, false);
        forget(s);
    }
}

Test(picture, without_a_spill_there_is_the_matrix_alone, .timeout = 60)
{
    for (int n = 1; n <= HAZARDS_MAX; n += HAZARDS_MAX - 1) {
        struct search *s = made_up(n);
        draw_up(s);
        expect_drawn(s->picture, 1, true);
        forget(s);
    }
}
