/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * any: what must hold in every run, in many random scenarios.  How many: LEAT_TRIALS in the
 * environment; LEAT_SEED is the first seed.  A scenario that breaks a rule is shrunk and printed.
 */
#include <criterion/criterion.h>
#include <criterion/parameterized.h>
#include <stdlib.h>
#include <string.h>

#include "any_check.h"

#ifndef LEAT_TRIALS
#define LEAT_TRIALS 1000
#endif

enum { SHARES = 4, BROKEN_MOST = 3 };
static const double REFUSED_MOST = 0.15; /* of all; a generator that makes more of them is poor */

TestSuite(any, .timeout = 36000);

static unsigned long setting(const char *name, unsigned long preset)
{
    const char *text = getenv(name);
    return text != NULL ? strtoul(text, NULL, 10) : preset;
}

static char *text_of(const struct any_text *t)
{
    char *text = NULL;
    size_t size = 0;
    FILE *f = open_memstream(&text, &size);
    any_print(t, f);
    fclose(f);
    return text;
}

/* ---- every rule in many scenarios --------------------------------------------------------------- */

/* Prints the shrunk scenario, which can be put into a file as it is. */
static void tell(const struct any_share *s, any_property *property)
{
    static struct any_text text;
    struct any_verdict v = s->verdict;
    any_make(s->seed, &text);
    any_shrink(&text, property, &v);
    char *words = text_of(&text);
    fprintf(stderr, "// seed %lu: %s\n%s\n", s->seed, v.words, words);
    cr_expect(false, "seed %lu: %s\n%s", s->seed, v.words, words);
    free(words);
}

/* Every SHARES-th seed from the first + share on. */
static struct any_share go_through(int share, unsigned long trials, any_property *property)
{
    const unsigned long first = setting("LEAT_SEED", 1), end = first + trials;
    struct any_share s = { .seed = first + (unsigned long)share };
    for (int broken = 0; s.seed < end && broken < BROKEN_MOST; broken++) {
        any_share(&s, SHARES, end, property);
        if (s.verdict.outcome != ANY_BROKEN)
            break;
        tell(&s, property);
        s.seed += SHARES;
    }
    return s;
}

static void hold(int share)
{
    const struct any_share s = go_through(share, setting("LEAT_TRIALS", LEAT_TRIALS), any_sound);
    fprintf(stderr, "any: %d scenarios, %d refused, %d cut short, %ld steps, %ld parcels, balance %.1e\n",
            s.tried, s.refused, s.cut, s.steps, s.parcels, s.worst);
    cr_expect_leq(s.refused, 3 + (int)(REFUSED_MOST * s.tried), "%d of %d refused", s.refused, s.tried);
}

Test(any, conserves_and_keeps_its_bounds_first_share)
{
    hold(0);
}

Test(any, conserves_and_keeps_its_bounds_second_share)
{
    hold(1);
}

Test(any, conserves_and_keeps_its_bounds_third_share)
{
    hold(2);
}

Test(any, conserves_and_keeps_its_bounds_fourth_share)
{
    hold(3);
}

Test(any, does_not_depend_on_how_often_it_is_recorded)
{
    go_through(0, setting("LEAT_TRIALS", LEAT_TRIALS) / 4, any_same_records);
}
