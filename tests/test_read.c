/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Faults are put into two plants, the meters read as they would show them, and the explanation must
 * come first, or among those that are as good; what is then proposed is measured until nothing is
 * left to tell.
 *
 * Slow: with sanitizers in the medium gate only.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fixture.h"
#include "models/water.h"
#include "sim/read.h"

static const double DAYS = 100.0;

/* ---- two plants -------------------------------------------------------------------------------
 */

/* Cold soft acid water, a larger element, a finer meter. */
static struct plant other_plant(void)
{
    struct plant p = fixture_plant();
    for (int i = 0; i < CARBON; i++)
        p.feed.c[i] *= 0.4;
    p.feed.c[CARBON] *= 0.6;
    p.feed.temperature = (struct cycle){ .mean = 9.0 };
    p.feed.pressure.mean *= 1.3;
    p.train[p.membrane].params.membrane.area *= 1.3;
    p.meter.resolution = 1e-4;
    return p;
}

struct bench {
    struct scenario *scenario;
    struct read_found *found;
};

static struct bench bench_of(struct plant p, const struct read_given *given)
{
    const struct read_given nothing = read_nothing(&p.meter);
    const struct read_options o = { .at = NAN };
    char words[READ_WORDS];
    struct bench b = { calloc(1, sizeof *b.scenario), calloc(1, sizeof *b.found) };
    cr_assert(b.scenario && b.found);
    b.scenario->plant = p;
    b.scenario->plan = fixture_plan(DAYS);
    cr_assert_eq(read_find(b.found, b.scenario, given ? given : &nothing, &o, words), STATUS_OK,
                 "%s", words);
    return b;
}

static void bench_free(struct bench *b)
{
    read_free(b->found);
    free(b->found);
    free(b->scenario);
}

static int cause_named(const char *key)
{
    for (int i = 0; i < READ_CAUSES; i++)
        if (strcmp(read_rows[i].key, key) == 0)
            return i;
    cr_assert(false, "no explanation %s", key);
    return -1;
}

/* ---- measuring --------------------------------------------------------------------------------
 */

/* As the instrument shows it: meters to their last digit, jugs to a hundredth of a mL/s. */
static double measured(const struct bench *b, int k, const double truth[])
{
    const double digit = b->scenario->plant.meter.resolution;
    if (read_instruments[k].meter)
        return digit * round(truth[k] / digit);
    if (k == LOOK_FLOW || k == LOOK_DRAIN)
        return 1e-8 * round(truth[k] / 1e-8);
    return truth[k];
}

static void measure(struct bench *b, int k, const double truth[])
{
    b->found->given.value[k] = measured(b, k, truth);
    read_fit(b->found);
}

/* The three meters, and with `jugs` both flows too. */
static void measure_first(struct bench *b, bool jugs, const double truth[])
{
    b->found->given = read_nothing(&b->scenario->plant.meter);
    for (int k = LOOK_FEED; k <= (jugs ? LOOK_DRAIN : LOOK_PRODUCT); k++)
        b->found->given.value[k] = measured(b, k, truth);
    read_fit(b->found);
}

static const struct read_cause *likeliest(const struct read_found *f)
{
    return &f->cause[f->order[0]];
}

/* How far what was read lies from what is expected with nothing wrong, in errors, all together. */
static double from_nothing(const struct read_found *f)
{
    int n = 0;
    for (int k = 0; k < LOOK_READABLE; k++)
        n += !isnan(f->given.value[k]);
    return f->cause[0].misses * sqrt(n);
}

static struct read_next best_next(const struct read_found *f)
{
    struct read_next best = { LOOK_FEED, 0.0 };
    for (int e = 0; e < READ_EFFORTS; e++)
        if (f->next[e].removes > best.removes)
            best = f->next[e];
    return best;
}

/* ---- the truth table --------------------------------------------------------------------------
 */

static const double SHOWS = 3.5; /* errors from nothing: ten to one beforehand is then overcome */
static const double CLEAR = 5.0;
static const double TELLS = 0.1; /* share of the doubt that is worth a measurement */

/* The fault must be among the best as soon as it shows at all. */
static void check_step(const struct bench *b, int plant, int cause, double size)
{
    const struct read_found *f = b->found;
    const struct read_cause *c = &f->cause[cause];
    if (from_nothing(f) < SHOWS)
        return;
    cr_expect(c->seen, "plant %d: %s of %g shows by %.1f errors and is not seen", plant,
              c->row->key, size, from_nothing(f));
    cr_expect(read_alike(f, c), "plant %d: %s of %g has %.2f, but %s %.2f", plant, c->row->key,
              size, c->share, likeliest(f)->row->key, likeliest(f)->share);
}

/* Measures what is proposed as long as it tells something; returns whether the fault showed at the
 * end. */
static bool check_fault(struct bench *b, int plant, int cause, const struct read_node *truth,
                        bool jugs)
{
    const struct read_found *f = b->found;
    const struct read_cause *c = &f->cause[cause];
    measure_first(b, jugs, truth->value);
    for (int round = 0; round < LOOK_READABLE; round++) {
        check_step(b, plant, cause, truth->size);
        const struct read_next next = best_next(f);
        if (next.removes < TELLS)
            break;
        measure(b, (int)next.what, truth->value);
    }
    if (from_nothing(f) < CLEAR)
        return false;
    cr_expect(plant == 0 || likeliest(f) == c,
              "plant %d: %s of %g has %.2f in the end, but %s %.2f", plant, c->row->key,
              truth->size, c->share, likeliest(f)->row->key, likeliest(f)->share);
    cr_expect(c->misses < 1.0, "plant %d: %s of %g misses by %.2f", plant, c->row->key, truth->size,
              c->misses);
    cr_expect(truth->size >= c->low - 0.1 * fabs(c->low) &&
                  truth->size <= c->high + 0.1 * fabs(c->high),
              "plant %d: %s of %g is taken for %g to %g", plant, c->row->key, truth->size, c->low,
              c->high);
    return true;
}

/* `hidden`: what can never be told in this plant, whatever is measured. */
static void check_plant(struct plant p, int plant, const char *const hidden[])
{
    struct bench b = bench_of(p, NULL);
    for (int i = 1; i < READ_CAUSES; i++) {
        const struct read_cause *c = &b.found->cause[i];
        bool shown = false, should = c->nodes > 0;
        for (int n = 0; n < c->nodes; n += 3) {
            const struct read_node truth = c->node[n];
            shown |= check_fault(&b, plant, i, &truth, false);
            shown |= check_fault(&b, plant, i, &truth, true);
        }
        for (int h = 0; hidden[h]; h++)
            should &= i != cause_named(hidden[h]);
        cr_expect_eq(shown, should, "plant %d: %s %s", plant, c->row->key,
                     should ? "never showed" : "shows, though it should not");
    }
    bench_free(&b);
}

Test(read, finds_what_was_put_into_a_plant_on_hard_water)
{
    /* its meter shows whole ppm: 0.6 for 0.1, or 5 for 3, is hardly one */
    static const char *const hidden[] = { "membrane_better", "resin_fresh", "probe_product", NULL };
    check_plant(fixture_plant(), 0, hidden);
}

Test(read, finds_what_was_put_into_a_plant_on_soft_acid_water)
{
    /* its bed is nearly spent: what passes it by makes no difference */
    static const char *const hidden[] = { "membrane_better", "resin", "resin_path", NULL };
    check_plant(other_plant(), 1, hidden);
}

/* ---- nothing, and closed forms ----------------------------------------------------------------
 */

Test(read, says_so_if_nothing_is_wrong)
{
    for (int plant = 0; plant < 2; plant++) {
        struct bench b = bench_of(plant ? other_plant() : fixture_plant(), NULL);
        const struct read_node truth = b.found->cause[0].node[0];
        for (int jugs = 0; jugs < 2; jugs++) {
            measure_first(&b, jugs, truth.value);
            cr_expect_eq(b.found->order[0], 0, "plant %d: %s", plant, likeliest(b.found)->row->key);
            cr_expect_gt(likeliest(b.found)->share, 0.5);
            cr_expect_lt(likeliest(b.found)->share, 0.995, "there is no certainty");
            cr_expect_lt(likeliest(b.found)->misses, 1.0);
        }
        bench_free(&b);
    }
}

/* What would be read with one thing changed, over what is. */
static void ratios(const struct bench *b, const struct look_change *c, double ratio[])
{
    double value[LOOK_COUNT];
    cr_assert(look_at(&b->found->place, c, value));
    for (int k = 0; k < LOOK_COUNT; k++)
        ratio[k] = value[k] / b->found->cause[0].node[0].value[k];
}

Test(read, follows_closed_forms)
{
    struct bench b = bench_of(fixture_plant(), NULL);
    const double *base = b.found->cause[0].node[0].value;
    struct look_change c = look_change_none();
    double r[LOOK_COUNT];
    ratios(&b, &c, r);
    for (int k = 0; k < LOOK_READABLE; k++)
        cr_expect_float_eq(r[k], 1.0, 1e-12, "nothing changed, but %s", read_instruments[k].key);

    c.strength =
        1.3; /* all ions pass in proportion; a richer water conducts a little less for it */
    ratios(&b, &c, r);
    cr_expect_float_eq(r[LOOK_FEED], 1.3, 0.04);
    cr_expect_float_eq(r[LOOK_PERMEATE], 1.3, 0.05);
    cr_expect_float_eq(r[LOOK_HARDNESS], 1.3, 0.02);

    c = look_change_none(); /* the share of feed comes on top */
    c.seal = 0.05;
    c.seal_power = 1.0;
    ratios(&b, &c, r);
    cr_expect_float_eq(r[LOOK_FLOW], 1.05, 1e-3);
    cr_expect_float_eq(base[LOOK_PERMEATE] * r[LOOK_PERMEATE],
                       (base[LOOK_PERMEATE] + 0.05 * base[LOOK_FEED]) / 1.05,
                       0.05 * base[LOOK_PERMEATE] * r[LOOK_PERMEATE]);
    const double leaks = r[LOOK_THROTTLED] / r[LOOK_PERMEATE];

    c = look_change_none(); /* passage goes against the flux, a leak through a gap does not */
    c.salt = 5.0;
    ratios(&b, &c, r);
    cr_expect_gt(r[LOOK_PERMEATE], 2.5);
    cr_expect_lt(r[LOOK_PERMEATE], 5.0);
    cr_expect_gt(r[LOOK_THROTTLED] / r[LOOK_PERMEATE], 1.02 * leaks);

    c = look_change_none(); /* a meter alone */
    c.probe[1] = 0.7;
    ratios(&b, &c, r);
    cr_expect_float_eq(r[LOOK_PERMEATE], 0.7, 1e-12);
    cr_expect_float_eq(r[LOOK_PERMEATE_AGAIN], 1.0, 1e-12);
    c = look_change_none();
    c.uncorrected = 1.0;
    ratios(&b, &c, r);
    cr_expect_float_eq(r[LOOK_FEED], 1.0 + 0.02 * (12.0 - 25.0), 1e-9);

    c = look_change_none(); /* half of the water past the resin is half of the permeate's matter */
    c.bypass = 0.5;
    ratios(&b, &c, r);
    cr_expect_float_eq(base[LOOK_PRODUCT] * r[LOOK_PRODUCT],
                       0.5 * (base[LOOK_PERMEATE] + base[LOOK_PRODUCT]),
                       0.15 * base[LOOK_PERMEATE]);
    bench_free(&b);
}

/* ---- against the engine -----------------------------------------------------------------------
 */

/* Hours after a tank began to fill, what a run shows is what is expected. */
Test(read, expects_what_a_run_shows)
{
    for (int plant = 0; plant < 2; plant++) {
        struct plant p = plant ? other_plant() : fixture_plant();
        p.tank_start = 0.2;
        struct scenario s = { .plant = p, .plan = fixture_plan(0.25) };
        struct outcome out;
        fixture_run(&p, &s.plan, NULL, &out);
        cr_assert_gt(out.signals.product_flow, 0.0, "it must still be filling");

        struct read_found *f = calloc(1, sizeof *f);
        const struct read_given nothing = read_nothing(&p.meter);
        const struct read_options o = { .at = NAN };
        char words[READ_WORDS];
        cr_assert_eq(read_find(f, &s, &nothing, &o, words), STATUS_OK);
        const double *expected = f->cause[0].node[0].value;
        const struct readings *r = &out.state.readings;
        const double factor = p.meter.factor;
        cr_expect_float_eq(expected[LOOK_FEED], factor * r->feed, 1e-6 * factor * r->feed);
        cr_expect_float_eq(expected[LOOK_PERMEATE], factor * r->permeate,
                           0.02 * factor * r->permeate, "%g, run %g", expected[LOOK_PERMEATE],
                           factor * r->permeate);
        cr_expect_float_eq(expected[LOOK_PRODUCT], factor * r->product, 0.05 * factor * r->product,
                           "%g, run %g", expected[LOOK_PRODUCT], factor * r->product);
        cr_expect_float_eq(expected[LOOK_FLOW], out.signals.product_flow,
                           1e-3 * out.signals.product_flow);
        cr_expect_float_eq(expected[LOOK_DRAIN], out.signals.drain_flow,
                           1e-3 * out.signals.drain_flow);
        read_free(f);
        free(f);
    }
}

/* Plants that really are otherwise, run from the start, and read by one who does not know. */
Test(read, finds_what_a_run_was_done_with)
{
    static const char *const fault[] = { "membrane", "co2", "drain_closed" };
    struct bench b = bench_of(fixture_plant(), NULL);
    for (int i = 0; i < 3; i++) {
        struct plant p = fixture_plant();
        struct membrane *m = &p.train[p.membrane].params.membrane;
        if (i == 0)
            m->salt_permeability *= 4.0;
        else if (i == 1)
            p.feed.c[CARBON] += 3.0 * water_speciate(p.feed.c, p.feed.temperature.mean).co2;
        else
            m->restrictor.flow *= 0.15;
        struct bench other = bench_of(p, NULL);
        measure_first(&b, true, other.found->cause[0].node[0].value);
        cr_expect_gt(from_nothing(b.found), SHOWS, "%s does not show", fault[i]);
        cr_expect(read_alike(b.found, &b.found->cause[cause_named(fault[i])]), "%s, but %s",
                  fault[i], likeliest(b.found)->row->key);
        bench_free(&other);
    }
    bench_free(&b);
}

/* ---- chances ----------------------------------------------------------------------------------
 */

static double normal(unsigned long *seed)
{
    const double u = 1.0 - fixture_random(seed), v = fixture_random(seed);
    return sqrt(-2.0 * log(u)) * cos(2.0 * M_PI * v);
}

static double *number_at(struct look_change *c, size_t offset)
{
    return (double *)((char *)c + offset);
}

/* Of those that the readings can tell, nothing wrong ten times as often as each fault. */
static int draw_cause(const struct read_found *f, unsigned long *seed)
{
    const double at = fixture_random(seed) * (f->ranked - 1 + 10);
    int fault = (int)at;
    if (fault >= f->ranked - 1)
        return 0;
    for (int i = 1; i < READ_CAUSES; i++)
        if (f->cause[i].nodes > 0 && f->cause[i].seen && fault-- == 0)
            return i;
    return 0;
}

/* What would be read, the doubts of the model and the errors of measuring drawn by chance.  Where
 * the beds are others, by the slopes of a node. */
static bool draw_truth(const struct bench *b, int cause, unsigned long *seed, double *size,
                       double value[])
{
    const struct read_found *f = b->found;
    const struct read_cause *c = &f->cause[cause];
    const struct read_row *row = c->row;
    const struct read_node *node = &c->node[(int)(fixture_random(seed) * c->nodes)];
    struct look_change change = look_change_none();
    double z[READ_DOUBTS];
    const double share = fixture_random(seed);
    *size = row->ratio ? row->low * pow(row->high / row->low, share)
                       : row->low + share * (row->high - row->low);
    if (row->way == READ_TIMES)
        *number_at(&change, row->offset) *= *size;
    else if (row->way == READ_PLUS)
        *number_at(&change, row->offset) += *size;
    for (int d = 0; d < READ_DOUBTS; d++) {
        z[d] = normal(seed);
        if (read_doubts[d].ratio)
            *number_at(&change, read_doubts[d].offset) *= exp(read_doubts[d].sd * z[d]);
        else
            *number_at(&change, read_doubts[d].offset) += read_doubts[d].sd * z[d];
    }
    if (row->way >= READ_SPENT)
        for (int k = 0; k < LOOK_COUNT; k++) {
            value[k] = node->value[k];
            for (int d = 0; d < READ_DOUBTS; d++)
                value[k] += z[d] * node->slope[d][k];
        }
    else if (!look_at(&f->place, &change, value))
        return false;
    for (int k = 0; k < LOOK_READABLE; k++)
        value[k] = fmax(value[k] + normal(seed) * read_error(f, (enum look)k, value[k]), 0.0);
    return true;
}

/* Where the answer says 70 in 100 it must be right in 70 of 100 cases, and the range of nine in ten
 * must hold the size in nine of ten. */
static void check_chances(struct plant p, bool jugs, unsigned long seed)
{
    enum { TRIALS = 300 };
    struct bench b = bench_of(p, NULL);
    double said = 0.0, spread = 0.0;
    int right = 0, sized = 0, held = 0;
    measure_first(&b, jugs, b.found->cause[0].node[0].value);
    for (int trial = 0; trial < TRIALS; trial++) {
        const int cause = draw_cause(b.found, &seed);
        const struct read_cause *c = &b.found->cause[cause];
        double value[LOOK_COUNT], size;
        if (!draw_truth(&b, cause, &seed, &size, value))
            continue;
        measure_first(&b, jugs, value);
        const double share = likeliest(b.found)->share;
        said += share;
        spread += share * (1.0 - share);
        right += b.found->order[0] == cause;
        if (c->row->way == READ_TIMES || c->row->way == READ_PLUS) {
            sized++;
            held += size >= c->low && size <= c->high;
        }
    }
    cr_expect_float_eq(right, said, 3.0 * sqrt(spread), "right %d times, said %.1f, spread %.1f",
                       right, said, sqrt(spread));
    cr_expect_float_eq(held, 0.9 * sized, 3.0 * sqrt(0.09 * sized), "%d of %d sizes in their range",
                       held, sized);
    cr_expect_gt(right, TRIALS / 2);
    bench_free(&b);
}

Test(read, chances_are_what_they_say)
{
    check_chances(other_plant(), false, 1);
    check_chances(other_plant(), true, 2);
    check_chances(fixture_plant(), true, 3);
}

/* ---- what is known is no explanation ----------------------------------------------------------
 */

Test(read, stands_at_the_temperature_and_pressure_that_were_read)
{
    struct bench sound = bench_of(fixture_plant(), NULL);
    struct look_change c = look_change_none();
    c.pressure = 0.5;
    c.temperature = -5.0;
    struct read_given given = read_nothing(&sound.scenario->plant.meter);
    cr_assert(look_at(&sound.found->place, &c, given.value));
    for (int k = LOOK_FEED_AGAIN; k < LOOK_COUNT; k++)
        given.value[k] = NAN;
    struct bench b = bench_of(fixture_plant(), &given);
    cr_expect_eq(b.found->order[0], 0, "%s", likeliest(b.found)->row->key);
    cr_expect_eq(b.found->cause[cause_named("pressure")].nodes, 0);
    cr_expect_eq(b.found->cause[cause_named("colder")].nodes, 0);
    cr_expect_float_eq(b.found->cause[0].node[0].value[LOOK_FLOW], given.value[LOOK_FLOW],
                       1e-9 * given.value[LOOK_FLOW]);
    cr_expect_float_eq(b.found->season_temperature, 12.0, 1e-9);
    bench_free(&b);
    bench_free(&sound);
}

Test(read, knows_the_faults_that_the_scenario_has_by_then)
{
    struct bench sound = bench_of(fixture_plant(), NULL);
    struct scenario s = *sound.scenario;
    struct read_found *f = calloc(1, sizeof *f);
    const struct read_given nothing = read_nothing(&s.plant.meter);
    const struct read_options o = { .at = 50.0 * 86400.0 };
    char words[READ_WORDS];
    for (int i = 0; fault_modes[i].part; i++)
        if (strcmp(fault_modes[i].part, "drain line") == 0)
            s.plan.event[s.plan.events++] = (struct event){
                .at = 40.0 * 86400.0, .kind = EVENT_FAULT, .which = i, .amount = 0.2
            };
    cr_assert_eq(read_find(f, &s, &nothing, &o, words), STATUS_OK);
    cr_expect_float_eq(f->t, 50.0 * 86400.0, 1e-6);
    cr_expect_float_eq(f->saved->state.t, f->t, 1e-3);
    cr_expect_lt(f->cause[0].node[0].value[LOOK_DRAIN],
                 0.25 * sound.found->cause[0].node[0].value[LOOK_DRAIN]);
    read_free(f);
    free(f);
    bench_free(&sound);
}

Test(read, needs_a_membrane_that_makes_water)
{
    struct scenario s = { .plant = fixture_plant(), .plan = fixture_plan(2.0) };
    struct read_found *f = calloc(1, sizeof *f);
    struct read_given given = read_nothing(&s.plant.meter);
    const struct read_options o = { .at = NAN };
    char words[READ_WORDS];
    given.value[LOOK_PRESSURE] = 2e3;
    cr_expect_eq(read_find(f, &s, &given, &o, words), STATUS_SCENARIO);
    cr_expect(strstr(words, "no water"), "%s", words);
    read_free(f);
    memset(f, 0, sizeof *f);
    s.plant.stages = 2;
    s.plant.membrane = -1;
    cr_expect_eq(read_find(f, &s, &given, &o, words), STATUS_SCENARIO);
    cr_expect(strstr(words, "membrane"), "%s", words);
    read_free(f);
    free(f);
}

/* ---- what a person writes ---------------------------------------------------------------------
 */

Test(read, reads_meters_in_their_scale_or_with_units)
{
    const struct meter m = { 5.0, 1e-3 };
    struct read_given g;
    char words[READ_WORDS];
    cr_assert(read_meters(&m, "245,13,0", &g, words), "%s", words);
    cr_expect_float_eq(g.value[LOOK_FEED], 0.245, 1e-12);
    cr_expect_float_eq(g.value[LOOK_PERMEATE], 0.013, 1e-12);
    cr_expect_eq(g.value[LOOK_PRODUCT], 0.0);
    cr_expect_float_eq(g.digit[1], 1e-3, 1e-12);
    cr_expect(isnan(g.value[LOOK_FLOW]));
    cr_assert(read_meters(&m, " 490 uS/cm , 26.4 uS/cm,-", &g, words), "%s", words);
    cr_expect_float_eq(g.value[LOOK_FEED], 0.245, 1e-12);
    cr_expect_float_eq(g.value[LOOK_PERMEATE], 0.0132, 1e-12);
    cr_expect_float_eq(g.digit[1], 0.05e-3, 1e-12, "a finer digit than the meter's own counts");
    cr_expect(isnan(g.value[LOOK_PRODUCT]));
    cr_assert(read_meters(&m, ",13.5,", &g, words), "%s", words);
    cr_expect(isnan(g.value[LOOK_FEED]));
    cr_expect_float_eq(g.digit[1], 1e-4, 1e-12);
    cr_assert(read_also(&m, "hardness=4 mg/L as CaCO3", &g, words), "%s", words);
    cr_expect_float_eq(g.value[LOOK_HARDNESS], 4e-3, 1e-6);
    cr_assert(read_also(&m, "ph=6.8", &g, words), "%s", words);
    cr_assert(read_also(&m, "flow=31 mL/min", &g, words), "%s", words);
    cr_assert(read_also(&m, "permeate_again=12", &g, words), "%s", words);
    cr_expect_float_eq(g.value[LOOK_PERMEATE_AGAIN], 0.012, 1e-12);
}

Test(read, complains_with_the_cure)
{
    static const struct {
        const char *text, *says;
    } bad[] = {
        { "", "three readings" },
        { "245,13", "three readings" },
        { "245,13,0,1", "three readings" },
        { "245;13;0", "three readings" },
        { "a,b,c", "no reading" },
        { "245,thirteen,0", "thirteen" },
        { "245,-13,0", "below nothing" },
        { "13,2,245", "FEED,PERMEATE,PRODUCT" },
        { "13,245,0", "FEED,PERMEATE,PRODUCT" },
        { "245 ppm,13,0", "unit at each" },
        { "245 mg,13 mg,0 mg", "no reading" },
        { "nan,1,0", "no reading" },
        { "245,13,0x", "no reading" },
        { "1e999,1,0", "no reading" },
    };
    static const struct {
        const char *text, *says;
    } also[] = {
        { "flow=31", "mL/min" },
        { "flow=-3 mL/min", "sign" },
        { "flow", "mL/min" },
        { "silicia=1 mg/L", "did you mean silica" },
        { "temperature=80 degC", "45 degC" },
        { "pressure=0 psi", "pressure" },
        { "hardness=4 mg/L", "CaCO3" },
    };
    const struct meter m = { 5.0, 1e-3 };
    struct read_given g;
    char words[READ_WORDS];
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        cr_expect_not(read_meters(&m, bad[i].text, &g, words), "\"%s\" is taken", bad[i].text);
        cr_expect(strstr(words, bad[i].says), "\"%s\": %s", bad[i].text, words);
    }
    for (size_t i = 0; i < sizeof also / sizeof also[0]; i++) {
        g = read_nothing(&m);
        cr_expect_not(read_also(&m, also[i].text, &g, words), "\"%s\" is taken", also[i].text);
        cr_expect(strstr(words, also[i].says), "\"%s\": %s", also[i].text, words);
    }
    g = read_nothing(&m);
    cr_expect_not(read_anything(&g));
    cr_assert(read_also(&m, "ph=7", &g, words));
    cr_expect(read_anything(&g));
    cr_expect_not(read_also(&m, "ph=7", &g, words));
    cr_expect(strstr(words, "twice"), "%s", words);
}
