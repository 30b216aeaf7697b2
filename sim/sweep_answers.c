/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sweep_answers: what is asked of each run, and how it moves over the rows.  Page: docs/sweep.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sweep.h"
#include "text.h"

static const double LITRE = 1e3;   /* per m3 */
static const double HOUR = 3600.0; /* s */
static const double YEAR = 365.0;  /* days */
static const double SLACK = 1e-3;  /* of a value: less is no difference, nor seen on the screen */

enum plain {
    OF_MONEY,
    OF_PER_LITRE,
    OF_FEED,
    OF_DRAIN,
    OF_PRODUCT,
    OF_UNMET,
    OF_FLOOR,
    OF_ENERGY,
    OF_LEAST_FLOW,
    OF_LOWEST,
    OF_HIGHEST,
    OF_DRY,
    OF_SALINITY_LOW,
    OF_SALINITY_HIGH
};

/* # and @: see sweep_fill. */
static const struct {
    const char *name, *head, *words, *unit;
    double least;
    enum amount kind;
} plain[] = {
    [OF_MONEY] = { "money_per_year", "money/yr", "money", "a year", 0.01, AMOUNT_COUNT },
    [OF_PER_LITRE] = { "money_per_litre", "money/#", "money per @ of product", "a @", 1e-6,
                       AMOUNT_PRICE },
    [OF_FEED] = { "feed_L", "in #", "water in", "#", 0.1, AMOUNT_WATER },
    [OF_DRAIN] = { "drain_L", "drain #", "water to the drain", "#", 0.1, AMOUNT_WATER },
    [OF_PRODUCT] = { "product_L", "product #", "product made", "#", 0.1, AMOUNT_WATER },
    [OF_UNMET] = { "draws_not_met_L", "not met #", "draws not met", "#", 0.1, AMOUNT_WATER },
    [OF_FLOOR] = { "on_the_floor_L", "floor #", "water on the floor", "#", 0.01, AMOUNT_WATER },
    [OF_ENERGY] = { "electricity_kWh", "kWh", "electricity", "kWh", 1e-3, AMOUNT_COUNT },
    [OF_LEAST_FLOW] = { "least_product_flow_mL_min", "least #", "least product flow", "#", 0.1,
                        AMOUNT_FLOW },
    [OF_LOWEST] = { "tank_lowest_cm", "lowest #", "lowest level in the tank", "#", 0.1,
                    AMOUNT_LEVEL },
    [OF_HIGHEST] = { "tank_highest_cm", "highest #", "highest level in the tank", "#", 0.1,
                     AMOUNT_LEVEL },
    [OF_DRY] = { "hours_without_water", "dry h", "time without water", "h", 0.01, AMOUNT_COUNT },
    [OF_SALINITY_LOW] = { "salinity_lowest_g_kg", "lowest g/kg", "lowest salinity", "g/kg", 0.01,
                          AMOUNT_COUNT },
    [OF_SALINITY_HIGH] = { "salinity_highest_g_kg", "highest g/kg", "highest salinity", "g/kg",
                           0.01, AMOUNT_COUNT },
};

enum { PLAIN = sizeof plain / sizeof plain[0] };

static const struct {
    enum passed passed;
    const char *name, *head, *words;
} passed[] = {
    { PASSED_PRODUCT_LIMIT, "product_meter_at_limit", "meter",
      "until the product meter is at its limit" },
    { PASSED_PRODUCT_USUAL, "product_meter_at_1_ppm", "1 ppm",
      "until the product meter is at 1 ppm" },
    { PASSED_SILICA, "silica_over_0.05_mg_L", "silica", "until silica passes" },
    { PASSED_CARBON, "carbon_dioxide_over_1_mg_L", "CO2", "until carbon dioxide passes" },
};

enum { PASSED = sizeof passed / sizeof passed[0] };

/* ---- the list ---------------------------------------------------------------------------------
 */

static struct sweep_answer *add(struct sweep *s)
{
    return &s->answer[s->answers++];
}

static void add_plain(struct sweep *s, int i)
{
    struct sweep_answer *a = add(s);
    const char *currency = s->scenario->plan.prices.currency;
    const bool money = i <= OF_PER_LITRE;
    struct sweep_words *const as[] = { &a->data, &a->people };
    a->kind = plain[i].kind;
    a->least = plain[i].least;
    snprintf(a->name, sizeof a->name, "%s", plain[i].name);
    sweep_fill(plain[i].head, units_taste(), a->kind, a->head, sizeof a->head);
    for (int k = 0; k < 2; k++) {
        char unit[24];
        sweep_name(as[k], k == 0 ? TASTE_METRIC : units_taste(), a->kind, plain[i].words,
                   plain[i].unit);
        snprintf(unit, sizeof unit, "%s", as[k]->unit);
        as[k]->unit[0] = '\0';
        text_append(as[k]->unit, sizeof as[k]->unit, "%s%s%s", money ? currency : "",
                    money ? " " : "", unit);
    }
}

static void add_passed(struct sweep *s, int i, bool litres)
{
    struct sweep_answer *a = add(s);
    char words[SWEEP_NAME], head[sizeof a->head];
    a->kind = litres ? AMOUNT_WATER : AMOUNT_COUNT;
    snprintf(a->name, sizeof a->name, "%s_%s", passed[i].name, litres ? "product_L" : "day");
    snprintf(head, sizeof head, "%s %s", passed[i].head, litres ? "at #" : "day");
    sweep_fill(head, units_taste(), a->kind, a->head, sizeof a->head);
    snprintf(words, sizeof words, "%s%s", litres ? "@s " : "days ", passed[i].words);
    sweep_name(&a->data, TASTE_METRIC, a->kind, words, litres ? "#" : "days");
    sweep_name(&a->people, units_taste(), a->kind, words, litres ? "#" : "days");
    a->least = litres ? 1.0 : 0.05;
    a->passes = true;
}

static void add_stage(struct sweep *s, const char *stage, bool used)
{
    struct sweep_answer *a = add(s);
    a->kind = AMOUNT_COUNT;
    snprintf(a->name, sizeof a->name, "%s_%.50s", used ? "used" : "replaced", stage);
    snprintf(a->head, sizeof a->head, "%s %.12s", used ? "%" : "new", stage);
    snprintf(a->data.words, sizeof a->data.words,
             used ? "%.30s: life used at the end" : "%.30s: replacements", stage);
    snprintf(a->data.unit, sizeof a->data.unit, "%s", used ? "%" : "");
    a->people = a->data;
    a->least = used ? 0.05 : 0.5;
}

void sweep_answers(struct sweep *s)
{
    const struct plant *p = &s->scenario->plant;
    for (int i = 0; i < PLAIN; i++)
        add_plain(s, i);
    for (int i = 0; i < PASSED; i++) {
        add_passed(s, i, false);
        add_passed(s, i, true);
    }
    *add(s) = (struct sweep_answer){ .name = "limits_broken",
                                     .head = "limits",
                                     .data = { "limits broken", "" },
                                     .people = { "limits broken", "" },
                                     .kind = AMOUNT_COUNT,
                                     .least = 0.5 };
    for (int k = 0; k < p->stages; k++) {
        add_stage(s, p->train[k].name, true);
        add_stage(s, p->train[k].name, false);
    }
}

int sweep_answer_named(const struct sweep *s, const char *name)
{
    for (int i = 0; i < s->answers; i++)
        if (strcmp(s->answer[i].name, name) == 0)
            return i;
    return -1;
}

/* ---- of a run ---------------------------------------------------------------------------------
 */

static double number_of(double value)
{
    return isfinite(value) ? value : NAN;
}

static void put_plain(const struct summary *s, const struct cost *c, double out[])
{
    out[OF_MONEY] = c->total * YEAR / s->days;
    out[OF_PER_LITRE] = number_of(c->per_litre);
    out[OF_FEED] = LITRE * s->x[X_FEED];
    out[OF_DRAIN] = LITRE * s->x[X_DRAIN];
    out[OF_PRODUCT] = LITRE * s->x[X_PRODUCT];
    out[OF_UNMET] = LITRE * s->x[X_UNMET];
    out[OF_FLOOR] = LITRE * s->on_floor;
    out[OF_ENERGY] = s->x[X_ENERGY] / 3.6e6;
    out[OF_LEAST_FLOW] = number_of(60e6 * s->least_flow);
    out[OF_LOWEST] = number_of(100.0 * s->tank_lowest);
    out[OF_HIGHEST] = number_of(100.0 * s->tank_highest);
    out[OF_DRY] = s->dry_time / HOUR;
    out[OF_SALINITY_LOW] = number_of(s->salinity_lowest);
    out[OF_SALINITY_HIGH] = number_of(s->salinity_highest);
}

void sweep_answer_row(const struct sweep *s, const struct summary *summary,
                      const struct scenario *as, double out[])
{
    const struct cost cost = summary_cost(summary, &as->plan, &as->plant);
    put_plain(summary, &cost, out);
    int n = PLAIN;
    for (int i = 0; i < PASSED; i++) {
        const double day = summary->first.day[passed[i].passed];
        out[n++] = day;
        out[n++] = isnan(day) ? NAN : summary->first.litres[passed[i].passed];
    }
    out[n++] = summary_broken(summary, &as->plan, NULL);
    for (int k = 0; k < s->scenario->plant.stages; k++) {
        out[n++] = 100.0 * summary->used[k];
        out[n++] = summary->renewals[k];
    }
}

/* ---- over the rows ----------------------------------------------------------------------------
 */

static double slack(const struct sweep_answer *a, double low, double high)
{
    return fmax(a->least, SLACK * fmax(fabs(low), fabs(high)));
}

/* From the first row to the last, which all have it. */
static enum course course_of(const struct sweep *s, const struct sweep_move *m)
{
    const double first = s->row[0].answer[m->answer], last = s->row[s->rows - 1].answer[m->answer];
    const double least = s->row[m->low].answer[m->answer];
    const double most = s->row[m->high].answer[m->answer];
    const double d = slack(&s->answer[m->answer], least, most);
    bool up = true, down = true;
    for (int i = 1; i < s->rows; i++) {
        const double step = s->row[i].answer[m->answer] - s->row[i - 1].answer[m->answer];
        up = up && step >= -d;
        down = down && step <= d;
    }
    if (up || down)
        return up ? COURSE_UP : COURSE_DOWN;
    const bool top = most > fmax(first, last) + d, bottom = least < fmin(first, last) - d;
    return top == bottom ? COURSE_UNEVEN : top ? COURSE_TOP : COURSE_BOTTOM;
}

static struct sweep_move move_of(const struct sweep *s, int answer)
{
    struct sweep_move m = { .answer = answer, .low = -1, .high = -1 };
    for (int i = 0; i < s->rows; i++) {
        const double value = s->row[i].answer[answer];
        if (isnan(value))
            continue;
        m.known++;
        if (m.low < 0 || value < s->row[m.low].answer[answer])
            m.low = i;
        if (m.high < 0 || value > s->row[m.high].answer[answer])
            m.high = i;
    }
    if (m.known == 0)
        return m;
    const double low = s->row[m.low].answer[answer], high = s->row[m.high].answer[answer];
    if (high - low > slack(&s->answer[answer], low, high))
        m.size = (high - low) / fmax(fabs(low), fabs(high));
    else if (m.known < s->rows)
        m.size = 1.0; /* sometimes it never comes */
    const bool line = s->parameters == 1 && s->parameter[0].numbers && s->options.samples == 0;
    if (line && m.size > 0.0)
        m.course = m.known == s->rows ? course_of(s, &m) : COURSE_UNEVEN;
    return m;
}

/* Ties in the order of the list, which begins with what matters to most. */
static int by_size(const void *a, const void *b)
{
    const struct sweep_move *x = a, *y = b;
    if (x->size != y->size)
        return x->size > y->size ? -1 : 1;
    return x->answer - y->answer;
}

int sweep_moves(const struct sweep *s, struct sweep_move out[SWEEP_ANSWERS])
{
    int n = 0;
    for (int i = 0; i < s->answers; i++) {
        out[i] = move_of(s, i);
        n += out[i].size > 0.0;
    }
    qsort(out, (size_t)s->answers, sizeof *out, by_size);
    return n;
}

int sweep_shown(const struct sweep *s, struct sweep_move out[SWEEP_ANSWERS])
{
    const int n = sweep_moves(s, out);
    for (int i = n - 1; i > 0; i--)
        if (out[i].answer == ANSWER_MONEY) {
            const struct sweep_move money = out[i];
            memmove(out + 1, out, (size_t)i * sizeof *out);
            out[0] = money;
        }
    return n;
}

int sweep_cheapest(const struct sweep *s)
{
    int best = 0;
    for (int i = 1; i < s->rows; i++)
        if (s->row[i].answer[ANSWER_MONEY] < s->row[best].answer[ANSWER_MONEY])
            best = i;
    return best;
}

/* ---- ranks ------------------------------------------------------------------------------------
 */

/* Rank of value i among n, ties in the middle of their places. */
static double rank_of(const double value[], int n, int i)
{
    int below = 0, same = 0;
    for (int k = 0; k < n; k++) {
        below += value[k] < value[i];
        same += value[k] == value[i];
    }
    return below + 0.5 * (same - 1);
}

double sweep_rank(const struct sweep *s, int answer, int parameter)
{
    double *x = calloc(2 * (size_t)s->rows, sizeof *x), *y = x ? x + s->rows : NULL;
    double xx = 0.0, yy = 0.0, xy = 0.0;
    int n = 0;
    for (int i = 0; x && i < s->rows; i++) {
        if (isnan(s->row[i].answer[answer]) || isnan(s->row[i].point[parameter].number))
            continue;
        x[n] = s->row[i].point[parameter].number;
        y[n++] = s->row[i].answer[answer];
    }
    for (int i = 0; i < n; i++) {
        const double middle = 0.5 * (n - 1);
        const double a = rank_of(x, n, i) - middle, b = rank_of(y, n, i) - middle;
        xx += a * a;
        yy += b * b;
        xy += a * b;
    }
    free(x);
    return xx > 0.0 && yy > 0.0 ? xy / sqrt(xx * yy) : NAN;
}
