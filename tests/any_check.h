/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * any_check: what must hold in every run, looked at wherever an observer may look; and the
 * shrinking of a scenario in which something does not hold.
 */
#ifndef TESTS_ANY_CHECK_H
#define TESTS_ANY_CHECK_H

#include "any.h"
#include "sim/run.h"
#include "sim/scenario.h"

enum any_outcome { ANY_SOUND, ANY_REFUSED, ANY_BROKEN };

struct any_verdict {
    enum any_outcome outcome;
    char rule[40];   /* that is broken: a shrunk scenario breaks the same */
    char words[240]; /* what and when; of a refused one the first complaint */
    double worst;    /* error of the balance [-] */
    long steps, parcels;
    bool cut; /* ended before its time, for cost */
};

/* Says of a loaded scenario whether it holds; the verdict comes in as sound. */
typedef void any_property(const struct scenario *s, struct any_verdict *v);

/* Runs it and looks at everything. */
any_property any_sound;

/* The same with an observer that looks before, or NULL. */
void any_sound_with(const struct scenario *s, const struct observer *first, struct any_verdict *v);

/* The totals and events do not depend on how often it is recorded. */
any_property any_same_records;

/* Loads a file, or a text, and judges it, in this process. */
void any_judge_file(const char *path, any_property *property, struct any_verdict *v);
void any_judge(const struct any_text *t, any_property *property, struct any_verdict *v);

/* The same in a process of its own, so that a crash is a verdict too. */
void any_try(const struct any_text *t, any_property *property, struct any_verdict *v);

/* Takes out of a text all without which it breaks the same rule. */
void any_shrink(struct any_text *t, any_property *property, struct any_verdict *v);

/* Many seeds one after the other in a process of their own; ends with the first that breaks. */
struct any_share {
    unsigned long seed; /* the next, or the one that broke */
    int tried, refused, cut;
    double worst;
    long steps, parcels;
    struct any_verdict verdict; /* of the last */
};
void any_share(struct any_share *s, unsigned long step, unsigned long end, any_property *property);

#endif
