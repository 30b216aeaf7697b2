/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_picture: the picture of the line in letters, 80 columns wide: one letter an ion, each part
 * on a scale of its own, then all of it on one scale of powers of ten.  Page: docs/along.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "along.h"
#include "along_sheet.h"
#include "screen.h"
#include "text.h"

enum { BAR = 48, NAME = 14 };

static const double LEAST = 1e-6; /* meq/L where the bars of powers begin */

/* In the order of a bar. */
static const struct {
    enum along_form form;
    char letter;
} letters[] = { { FORM_CA, 'C' },     { FORM_MG, 'M' }, { FORM_NA, 'N' },   { FORM_K, 'K' },
                { FORM_NH4, 'A' },    { FORM_H, 'H' },  { FORM_HCO3, 'b' }, { FORM_CO3, 'c' },
                { FORM_SO4, 's' },    { FORM_CL, 'l' }, { FORM_NO3, 'n' },  { FORM_F, 'f' },
                { FORM_H3SIO4, 'i' }, { FORM_OH, 'o' } };

enum { LETTERS = sizeof letters / sizeof letters[0] };

static void put_name(const char *name, FILE *out)
{
    char safe[4 * SCREEN_CELL];
    text_escape(name, safe, sizeof safe);
    size_t n = 0;
    while (safe[n] != '\0' && (text_columns(safe, n + 1) <= NAME || (safe[n] & 0xc0) == 0x80))
        n++;
    fprintf(out, "  %.*s%*s", (int)n, safe, NAME - text_columns(safe, n), "");
}

/* Letters up to where each ion ends, so that a bar is full. */
static void put_bar(const struct along_point *p, int sign, FILE *out)
{
    const double all = along_sum(p, sign);
    double sum = 0.0;
    int shown = 0;
    for (int k = 0; k < LETTERS; k++) {
        const struct along_form_row *row = &along_forms[letters[k].form];
        if (row->charge * sign <= 0)
            continue;
        sum += abs(row->charge) * p->form[letters[k].form];
        for (const int end = (int)floor(BAR * sum / all + 0.5); shown < end; shown++)
            putc(letters[k].letter, out);
    }
}

static bool is_shown(const struct along_point *p)
{
    const size_t size = EXCHANGED_COUNT * sizeof p->water->c[0];
    return p->kind == ALONG_FEED || p->kind == ALONG_CONCENTRATE ||
           (p->kind == ALONG_STAGE && memcmp(p->came->c, p->water->c, size) != 0);
}

static void put_powers(const struct along_point *p, FILE *out)
{
    const double sum = along_sum(p, 1);
    char number[SCREEN_CELL];
    const int n = (int)floor(8.0 * log10(fmax(sum, LEAST) / LEAST) + 0.5);
    put_name(p->name, out);
    putc(' ', out);
    for (int k = 0; k < n && k < BAR + 8; k++)
        putc('#', out);
    fprintf(out, " %s\n", screen_number(sum, number));
}

void along_picture(const struct along *a, FILE *out)
{
    for (int n = 0; n < a->looks; n++) {
        char when[SCREEN_CELL], sum[SCREEN_CELL];
        const struct along_look *l = a->look[n];
        fprintf(out, "\nIONS, %s: cations over anions, each part on a scale of its own\n",
                along_when(a, n, when, sizeof when));
        for (int i = 0; i < l->points; i++) {
            if (!is_shown(&l->point[i]))
                continue;
            put_name(l->point[i].name, out);
            fputs(" |", out);
            put_bar(&l->point[i], 1, out);
            fprintf(out, "| %s\n%*s |", screen_number(along_sum(&l->point[i], 1), sum), 2 + NAME,
                    "");
            put_bar(&l->point[i], -1, out);
            fprintf(out, "| %g ppm\n", 1e3 * l->point[i].shown);
        }
    }
    fputs("  C Ca  M Mg  N Na  K K  A NH4  H H; b HCO3  c CO3  s SO4  l Cl  n NO3  f F\n"
          "  i H3SiO4  o OH; numbers: meq/L, and what the meter shows\n",
          out);
    for (int n = 0; n < a->looks; n++) {
        char when[SCREEN_CELL];
        fprintf(out, "\nALL IONS, %s: meq/L, eight signs a power of ten, from %g\n",
                along_when(a, n, when, sizeof when), LEAST);
        for (int i = 0; i < a->look[n]->points; i++)
            if (is_shown(&a->look[n]->point[i]))
                put_powers(&a->look[n]->point[i], out);
    }
}
