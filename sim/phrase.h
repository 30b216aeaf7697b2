/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * phrase: words with quantities in them that go to people and to programs: people get them in the taste of
 * the process (units.h), programs always metric.  So the quantities are kept as numbers until then.
 */
#ifndef SIM_PHRASE_H
#define SIM_PHRASE_H

#include "amount.h"

enum { PHRASE_AMOUNTS = 2, PHRASE_WORDS = 128 };

enum phrase_form {
    PHRASE_AMOUNT,              /* of a kind: "45.2 cm" */
    PHRASE_BARE,                /* without its unit, where it stands before it already */
    PHRASE_VOLUME,              /* m3: "1.2 L" */
    PHRASE_SPAN                 /* s: "3.5 h" */
};

struct phrase {
    const char *words;          /* "lip at #": # stands for the next quantity; lives as long as the program */
    struct phrase_amount {
        enum phrase_form form;
        enum amount kind;       /* of an amount */
        int places;             /* behind the point, of the metric unit */
        double value;           /* of an amount in the metric unit of its kind */
    } amount[PHRASE_AMOUNTS];
};

/* Says it in a taste; returns out. */
char *phrase_say(const struct phrase *p, enum taste taste, char out[PHRASE_WORDS]);

#endif
