/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sweep_taste: answers of a sweep in the units that people asked for; rows and files stay metric.
 */
#include "sweep.h"
#include "text.h"

void sweep_fill(const char *words, enum taste taste, enum amount kind, char *out, size_t size)
{
    const enum amount of = kind == AMOUNT_PRICE ? AMOUNT_WATER : kind;
    out[0] = '\0';
    for (; *words; words++)
        if (*words == '#')
            text_append(out, size, "%s", amount_unit_in(taste, of).name);
        else if (*words == '@')
            text_append(out, size, "%s", amount_one_in(taste));
        else
            text_append(out, size, "%c", *words);
}

void sweep_name(struct sweep_words *w, enum taste taste, enum amount kind, const char *words,
                const char *unit)
{
    sweep_fill(words, taste, kind, w->words, sizeof w->words);
    sweep_fill(unit, taste, kind, w->unit, sizeof w->unit);
}

double sweep_in_taste(const struct sweep *s, int answer, double value)
{
    const enum amount kind = s->answer[answer].kind;
    return kind == AMOUNT_COUNT ? value : amount_number(kind, value);
}

double sweep_shown_answer(const struct sweep *s, int row, int answer)
{
    return sweep_in_taste(s, answer, s->row[row].answer[answer]);
}
