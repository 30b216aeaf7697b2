/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * picture_sheet: the sheets of the pictures of `leat overflow` that have a row for each set: times
 * and shares; and the list of all four.  Places are px below the frame's top.  Page:
 * docs/figures.md.
 */
#include "picture.h"

#include <math.h>
#include <string.h>

#include "screen.h"

static const double HOUR = 3600.0; /* s */

enum { TIMES_MAX = 24, SETS_SHOWN = 10, PARTS_SHOWN = 10, ROW_GAP = 9, HEAD_HIGH = 24 };

const struct figure picture_figures[] = { { "times", picture_times,
                                            "nothing spills: there is only the matrix of pairs" },
                                          { "pairs", picture_pairs, NULL },
                                          { "shares", picture_shares, NULL },
                                          { "worst", picture_worst, NULL },
                                          { NULL, NULL, NULL } };

/* ---- names ------------------------------------------------------------------------------------
 */

static int height_of(const struct chance_row *r)
{
    return LINE * r->set->count + ROW_GAP;
}

/* The number of a set and its faults, each on a line of its own; returns px down to the row's
 * middle. */
static double put_names(FILE *out, const struct picture *p, const struct chance_row *r, int top)
{
    const struct sets *s = &p->found->sets;
    for (int i = 0; i < r->set->count; i++) {
        const struct hazard *h = &s->hazard[r->set->hazard[i]];
        char number[16] = "+ ", name[WORDS_MAX * 2], words[WORDS_MAX];
        if (i == 0)
            snprintf(number, sizeof number, "%d. ", picture_number(p, r));
        snprintf(words, sizeof words, "%s %s", h->part, h->mode);
        sheet_clean(words, name, 32);
        sheet_put(out, "%g\t%s%s\n", top + 0.5 * ROW_GAP + LINE * (i + 0.5), number, name);
    }
    return top + 0.5 * height_of(r);
}

static void put_frame(FILE *par, int high, int left, int right, int foot)
{
    sheet_put(par, "# axes and places in the figure; the script beside reads them\n");
    sheet_put(par, "high = %d\nwide = %d\nleft = %d\nright = %d\ntop1 = %.6f\nlow1 = %.6f\n", high,
              WIDTH, left, right, 1.0 - (double)(TITLE_HIGH + HEAD_HIGH) / high,
              (double)foot / high);
    sheet_put(par, "frame = %d\n", high - TITLE_HIGH - HEAD_HIGH - foot);
}

/* ---- times ------------------------------------------------------------------------------------
 */

static void put_time(FILE *out, const struct chance_row *r, double y)
{
    const struct damage *d = &r->set->worst;
    char litres[2 * SCREEN_CELL], none[SCREEN_CELL], after[SCREEN_CELL];
    sheet_number(out, y);
    sheet_number(out, fmax(picture_first_drop(d), 1.0) / HOUR);
    screen_span(picture_first_drop(d), after);
    if (d->floor > 0.0)
        screen_litres(d->floor, litres);
    else
        snprintf(litres, sizeof litres, "%s: the pan holds it", screen_litres(0.0, none));
    sheet_put(out, "%c\t%s\t%s\n", d->spill <= d->basin_spill ? 't' : 's', after, litres);
}

enum status picture_times(struct sheet *s)
{
    const struct picture *p = s->source;
    const int shown = p->spills < TIMES_MAX ? p->spills : TIMES_MAX;
    int top = 0;
    char span[SCREEN_CELL];
    if (p->spills == 0)
        return STATUS_NO_INPUT;

    FILE *out = sheet_open(s, ".dat"), *names = sheet_open(s, "-labels.dat");
    sheet_put(out, "# px\thours to the first drop\ttank or served water\ttime\ton the floor\n");
    sheet_put(names, "# px\tset\n");
    for (int i = 0; i < shown; i++) {
        put_time(out, p->early[i], put_names(names, p, p->early[i], top));
        top += height_of(p->early[i]);
    }
    sheet_close(s, out);
    sheet_close(s, names);

    out = sheet_open(s, "-words.dat");
    sheet_put(out, "# place\twords\n");
    sheet_put(out, "beside\ton the floor in %s\n", screen_span(p->found->span, span));
    /* gnuplot 5 crashes on a plot of labels that has none */
    if (shown < p->spills)
        sheet_put(out, "below\tand %d more, later than these: sets.csv\n", p->spills - shown);
    else
        sheet_put(out, "below\t \n");
    sheet_close(s, out);

    FILE *par = sheet_open(s, ".par");
    const double first = fmax(picture_first_drop(&p->early[0]->set->worst), 1.0);
    put_frame(par, TITLE_HIGH + HEAD_HIGH + top + FOOT, 250, WIDTH - 170, FOOT);
    sheet_put(par, "xmin = %.9g\nxmax = %.9g\n", 0.5 * fmin(first, HOUR) / HOUR,
              fmax(p->found->span / HOUR, 2.0));
    sheet_close(s, par);
    sheet_title(s);
    return STATUS_OK;
}

/* ---- shares -----------------------------------------------------------------------------------
 */

struct bars {
    FILE *out, *names, *heads;
    double least, most; /* 1/year, of all ranges */
    int top;            /* px */
};

/* "once in 38 years", without the bounds: those are drawn. */
static void put_bar(struct bars *b, const struct picture *p, const struct chance *c, double y,
                    char kind)
{
    char words[CHANCE_WORDS];
    sheet_number(b->out, y);
    sheet_number(b->out, 100.0 * picture_share(p, c));
    sheet_number(b->out, c->low > 0.0 ? c->low : NAN);
    sheet_number(b->out, c->mean > 0.0 ? c->mean : NAN);
    sheet_number(b->out, c->high > 0.0 ? c->high : NAN);
    chance_words(c, words);
    words[strcspn(words, "(")] = '\0';
    sheet_put(b->out, "%c\t%s\n", kind, words);
    if (c->low > 0.0)
        b->least = fmin(b->least, c->low);
    b->most = fmax(b->most, fmax(c->high, c->mean));
}

static void put_named_bar(struct bars *b, const struct picture *p, const struct chance *c,
                          const char *name, char kind)
{
    sheet_put(b->names, "%g\t%s\n", b->top + 0.5 * (LINE + ROW_GAP), name);
    put_bar(b, p, c, b->top + 0.5 * (LINE + ROW_GAP), kind);
    b->top += LINE + ROW_GAP;
}

static void put_head(struct bars *b, const char *words)
{
    b->top += ROW_GAP;
    sheet_put(b->heads, "%g\t%s\n", b->top + 0.5 * LINE, words);
    b->top += LINE + 4;
}

static void put_sets(struct bars *b, const struct picture *p)
{
    const int shown = p->spills < SETS_SHOWN ? p->spills : SETS_SHOWN;
    put_named_bar(b, p, &p->found->chances.spill, "all sets together", 'a');
    put_head(b, "Sets of faults: their shares make up 100 %");
    for (int i = 0; i < shown; i++) {
        const struct chance_row *r = p->likely[i];
        put_bar(b, p, &r->chance, put_names(b->names, p, r, b->top), 's');
        b->top += height_of(r);
    }
    if (shown == p->spills)
        return;
    struct chance rest = { 0 };
    char name[WORDS_MAX];
    for (int i = shown; i < p->spills; i++)
        rest.mean += p->likely[i]->chance.mean;
    snprintf(name, sizeof name, "%d more together", p->spills - shown);
    put_named_bar(b, p, &rest, name, 's');
}

static void put_parts(struct bars *b, const struct picture *p)
{
    const struct chances *c = &p->found->chances;
    put_head(b, "Parts: all sets that hold the part (a pair counts for both of its parts)");
    for (int i = 0; i < c->parts && i < PARTS_SHOWN; i++) {
        char name[WORDS_MAX * 2];
        sheet_clean(c->part[i].part, name, 32);
        put_named_bar(b, p, &c->part[i].chance, name, 'p');
    }
}

enum status picture_shares(struct sheet *s)
{
    const struct picture *p = s->source;
    struct bars b = { .least = INFINITY };
    if (p->spills == 0 || !(p->found->chances.spill.mean > 0.0))
        return STATUS_NO_INPUT;

    b.out = sheet_open(s, ".dat");
    b.names = sheet_open(s, "-labels.dat");
    b.heads = sheet_open(s, "-heads.dat");
    sheet_put(b.out, "# px\tshare %%\t5 %% a year\tmean a year\t95 %% a year\tkind\twords\n");
    sheet_put(b.names, "# px\tname\n");
    sheet_put(b.heads, "# px\twords\n");
    put_sets(&b, p);
    put_parts(&b, p);
    sheet_close(s, b.out);
    sheet_close(s, b.names);
    sheet_close(s, b.heads);

    FILE *par = sheet_open(s, ".par");
    put_frame(par, TITLE_HIGH + HEAD_HIGH + b.top + FOOT, 250, 490, FOOT);
    sheet_put(par, "xmin = %.9g\nxmax = %.9g\n",
              pow(10.0, floor(log10(fmin(b.least, 0.5 * b.most)))), pow(10.0, ceil(log10(b.most))));
    sheet_close(s, par);
    sheet_title(s);
    return STATUS_OK;
}
