/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * film_text: frames as text, letters instead of colours: 80 columns, no more lines than a small
 * terminal has.  Page: docs/film.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "amount.h"
#include "film.h"
#include "memory.h"
#include "screen.h"

static const double DAY = 86400.0; /* s */

enum {
    WIDE = 50,   /* of a bed, characters */
    HIGH = 6,    /* rows that all sites of a depth take */
    MARGIN = 14, /* words beside it */
    BAR = 40,    /* most of a resistance */
    NAME_SHOWN = 18,
    PAUSE_MS = 250,
    LOOK_MS = 25
};

static int bed_of(const struct film_bed bed[], int beds, double at)
{
    int b = 0;
    while (b < beds - 1 && at >= bed[b + 1].from)
        b++;
    return b;
}

/* The cell at a place of the axis that the beds share. */
static int cell_at(const struct film_bed bed[], int beds, double at)
{
    const struct film_bed *here = &bed[bed_of(bed, beds, at)];
    const int cell = (int)((at - here->from) / here->depth * here->cells);
    return here->first + (cell < here->cells ? cell : here->cells - 1);
}

/* ---- resin ------------------------------------------------------------------------------------
 */

/* The letter at a height of the stack, 0 to 1; blank where there are no such sites. */
static char letter_at(const double row[], int first, int after, double height)
{
    double edge = 0.0;
    for (int k = first; k < after; k++) {
        edge += row[k];
        if (isnan(row[k]))
            return ' ';
        if (height < edge)
            return film_layers[k].letter;
    }
    return film_layers[after - 1].letter;
}

static void put_stack(const struct film *f, int frame, int first, int after, FILE *out)
{
    for (int y = HIGH - 1; y >= 0; y--) {
        fprintf(out, "%-*s|", MARGIN,
                y == HIGH - 1   ? first == 0 ? "cation resin" : "anion resin"
                : y == HIGH - 2 ? "share of sites"
                                : "");
        for (int x = 0; x < WIDE; x++) {
            const int cell = cell_at(f->resin, f->resins, f->depth * (x + 0.5) / WIDE);
            putc(letter_at(f->frame[frame].share + (size_t)cell * FILM_LAYERS, first, after,
                           (y + 0.5) / HIGH),
                 out);
        }
        fputs("|\n", out);
    }
}

static void put_key(int first, int after, FILE *out)
{
    fprintf(out, "%*s", MARGIN, "");
    for (int k = first; k < after; k++)
        fprintf(out, " %c %s", film_layers[k].letter, film_layers[k].words);
    putc('\n', out);
}

static void put_resin(const struct film *f, int frame, FILE *out)
{
    char depth[SCREEN_CELL];
    put_stack(f, frame, 0, FILM_ANION_LAYER, out);
    put_key(0, FILM_ANION_LAYER, out);
    put_stack(f, frame, FILM_ANION_LAYER, FILM_LAYERS, out);
    put_key(FILM_ANION_LAYER, FILM_LAYERS, out);
    amount_words(AMOUNT_LEVEL, 100.0 * f->depth, 1, depth);
    fprintf(out, "%-*s 0 inlet%*s%s\n", MARGIN, "depth", WIDE - 8 - (int)strlen(depth), "", depth);
}

/* ---- the rest ---------------------------------------------------------------------------------
 */

/* Tenths of the sites that are left: 9 all, 0 none. */
static void put_carbon(const struct film *f, int frame, FILE *out)
{
    fprintf(out, "%-*s|", MARGIN, "carbon, 9 new");
    for (int x = 0; x < WIDE; x++) {
        const int cell = cell_at(f->carbon, f->carbons, f->carbons * (x + 0.5) / WIDE);
        const double left = f->frame[frame].left[cell];
        putc('0' + (int)fmin(fmax(10.0 * left, 0.0), 9.0), out);
    }
    fputs("|\n", out);
}

/* Of the greatest of the whole film, so that frames can be compared. */
static void put_membrane(const struct film *f, int frame, FILE *out)
{
    static const char letter[] = { 'c', 's', 'b', 'o' };
    const struct film_frame *m = &f->frame[frame];
    const double part[] = { m->scale, m->layer, m->biofilm, m->cake };
    double most = 0.01, edge = 0.0;
    int x = 0;
    for (int n = 0; n < f->frames; n++)
        most = fmax(most,
                    f->frame[n].scale + f->frame[n].layer + f->frame[n].biofilm + f->frame[n].cake);
    fprintf(out, "%-*s|", MARGIN, "on membrane");
    for (int i = 0; i < 4; i++)
        for (edge += part[i]; x < (int)floor(BAR * edge / most + 0.5); x++)
            putc(letter[i], out);
    fprintf(out, "%*s| %.1f %% more\n", BAR - x, "", 100.0 * edge);
    fprintf(out, "%*s c scale s set b biofilm o loose", MARGIN, "");
    if (!isnan(m->flow))
        fprintf(out, "; flow %.0f %%, passage %.0f %%", 100.0 * m->flow, 100.0 * m->passage);
    putc('\n', out);
}

static void put_readings(const struct film *f, int frame, FILE *out)
{
    char number[SCREEN_CELL];
    fprintf(out, "%-*s", MARGIN, "meters, ppm");
    for (int k = 0; k < FILM_METERS; k++) {
        const double ppm = f->frame[frame].reading[k];
        if (k == 1 && f->plant->membrane < 0)
            continue;
        fprintf(out, "%s %s %s", k == 0 ? "" : " ", film_meter_names[k],
                isnan(ppm) ? "-" : screen_number(ppm, number));
    }
    putc('\n', out);
}

/* The product's meter over the whole film: tenths of its limit or of its most, as far as now. */
static void put_course(const struct film *f, int frame, FILE *out)
{
    const int now = (int)fmin(WIDE * f->frame[frame].litres / f->span.litres, WIDE - 1.0);
    double most = isnan(f->span.limit) ? 0.0 : f->span.limit;
    char number[SCREEN_CELL];
    for (int i = 0; i < FILM_BINS; i++)
        most = fmax(most, film_reading(f, i, FILM_METERS - 1));
    fprintf(out, "%-*s|", MARGIN, "product so far");
    for (int x = 0; x < WIDE; x++) {
        double volume = 0.0, amount = 0.0;
        for (int i = x * FILM_BINS / WIDE; i < (x + 1) * FILM_BINS / WIDE; i++) {
            volume += f->bin[i].volume[FILM_METERS - 1];
            amount += f->bin[i].amount[FILM_METERS - 1];
        }
        const double share = volume > 0.0 && most > 0.0 ? amount / volume / most : NAN;
        putc(x == now       ? '^'
             : x > now      ? ' '
             : isnan(share) ? '-'
                            : '0' + (int)fmin(10.0 * share, 9.0),
             out);
    }
    fprintf(out, "| 9: %s ppm\n", screen_number(most, number));
}

void film_text_frame(const struct film *f, int frame, FILE *out)
{
    const struct film_frame *m = &f->frame[frame];
    char name[WORDS_MAX * 2] = "", litres[SCREEN_CELL];
    fprintf(out, "frame %d of %d: day %.*f, %s of product so far", frame + 1, f->frames,
            film_day_places(f), m->t / DAY, screen_litres(1e-3 * m->litres, litres));
    for (int i = 0; i < f->marks && f->mark[i].t <= m->t; i++)
        sheet_clean(f->plant->train[f->mark[i].stage].name, name, NAME_SHOWN);
    if (name[0] != '\0')
        fprintf(out, "; new: %s", name);
    putc('\n', out);
    if (f->resins > 0)
        put_resin(f, frame, out);
    if (f->carbons > 0)
        put_carbon(f, frame, out);
    if (f->plant->membrane >= 0)
        put_membrane(f, frame, out);
    put_readings(f, frame, out);
    put_course(f, frame, out);
}

/* ---- one after the other ----------------------------------------------------------------------
 */

/* False as soon as a stop is asked for. */
static bool pause_between(const volatile sig_atomic_t *stop)
{
    const struct timespec look = { 0, LOOK_MS * 1000000L };
    for (int waited = 0; waited < PAUSE_MS; waited += LOOK_MS) {
        if (stop && *stop)
            return false;
        nanosleep(&look, NULL);
    }
    return !(stop && *stop);
}

/* Over the frame before, line by line, so that nothing flickers. */
static bool redraw(const struct film *f, int frame, FILE *out)
{
    char *text = NULL;
    size_t size = 0;
    FILE *memory = memory_stream(&text, &size);
    if (!memory)
        return false;
    film_text_frame(f, frame, memory);
    const bool whole = fclose(memory) == 0;
    fputs(frame == 0 ? "\033[H\033[2J" : "\033[H", out);
    for (const char *c = text; whole && *c != '\0'; c++)
        fprintf(out, "%s%c", *c == '\n' ? "\033[K" : "", *c);
    fputs("\033[J", out);
    free(text);
    return whole && fflush(out) == 0;
}

bool film_text(const struct film *f, FILE *out, const volatile sig_atomic_t *stop)
{
    const bool moves = screen_overwrites(out);
    for (int n = 0; n < f->frames; n++) {
        if (moves) {
            if (!redraw(f, n, out) || !pause_between(stop))
                return false;
            continue;
        }
        if (n > 0)
            putc('\n', out);
        film_text_frame(f, n, out);
        if (stop && *stop)
            return false;
    }
    return true;
}

/* ---- what it shows ----------------------------------------------------------------------------
 */

static void tell_end(const struct film *f, FILE *out)
{
    const struct film_span *s = &f->span;
    char litres[SCREEN_CELL], limit[SCREEN_CELL];
    if (s->why == FILM_CLOCK && isnan(s->limit))
        screen_entry(out, "Until", "the end of the clock");
    else if (s->why == FILM_CLOCK)
        screen_entry(out, "Until",
                     "the end of the clock: the last resin has not ended (%s ppm behind it)",
                     screen_number(s->limit, limit));
    else
        screen_entry(out, "Until", "%s after the last resin %s on day %.*f, at %s%s",
                     s->litres >= 1.199 * s->end_litres ? "a fifth more" : "the end of the clock,",
                     s->why == FILM_METER ? "came to its limit" : "was replaced",
                     film_day_places(f), s->end_t / DAY,
                     screen_litres(1e-3 * s->end_litres, litres),
                     s->why == FILM_METER ? " (the meter behind it)" : "");
}

void film_tell(const struct film *f, FILE *out)
{
    char litres[SCREEN_CELL];
    screen_entry(out, "Film", "%d frames, day 0 to %.*f, %s of product", f->frames,
                 film_day_places(f), f->span.t / DAY, screen_litres(1e-3 * f->span.litres, litres));
    tell_end(f, out);
    for (int i = 0; i < f->marks; i++)
        screen_entry(out, i == 0 ? "Replaced" : "", "%s on day %.*f, at %s",
                     f->plant->train[f->mark[i].stage].name, film_day_places(f), f->mark[i].t / DAY,
                     screen_litres(1e-3 * f->mark[i].litres, litres));
    if (f->more_marks > 0)
        screen_entry(out, "", "and %d more", f->more_marks);
    if (f->resins == 0)
        screen_entry(out, "Not there", "no resin in this line: carbon, membrane and meters only");
}
