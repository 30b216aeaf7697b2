/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * phrase: see phrase.h.
 */
#include "phrase.h"

#include <string.h>

#include "screen.h"
#include "text.h"

static char *say(const struct phrase_amount *a, enum taste taste, char out[SCREEN_CELL])
{
    switch (a->form) {
    case PHRASE_AMOUNT:
        return amount_words_in(taste, a->kind, a->value, a->places, out);
    case PHRASE_BARE:
        amount_words_in(taste, a->kind, a->value, a->places, out);
        out[strcspn(out, " ")] = '\0';
        return out;
    case PHRASE_VOLUME:
        return amount_volume_in(taste, a->value, out);
    case PHRASE_SPAN:
        return screen_span(a->value, out);
    }
    return out;
}

char *phrase_say(const struct phrase *p, enum taste taste, char out[PHRASE_WORDS])
{
    int n = 0;
    out[0] = '\0';
    for (const char *w = p->words; *w; w++) {
        char cell[SCREEN_CELL] = "";
        if (*w != '#')
            text_append(out, PHRASE_WORDS, "%c", *w);
        else if (n < PHRASE_AMOUNTS)
            text_append(out, PHRASE_WORDS, "%s", say(&p->amount[n++], taste, cell));
    }
    return out;
}
