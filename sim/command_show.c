/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_show: what a folder of results holds, and any series of it as text.  Page: docs/show.md.
 */
#include "command.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "chart.h"
#include "screen.h"
#include "text.h"

enum { CELLS = 6, NAME_ROOM = 4 * SERIES_NAME, PATH_ROOM = 4096 };

/* ---- words ------------------------------------------------------------------------------------
 */

static enum status complain(const char *name, const char *words, enum status status)
{
    char shown[PATH_ROOM];
    fprintf(stderr, "leat show: %s: %s\n", text_escape(name, shown, sizeof shown), words);
    return status;
}

/* What is not as the run left it is shown all the same, and said. */
static void warn(const struct series_file *f)
{
    char words[SERIES_WORDS] = "";
    if (f->missing)
        complain(f->name, "is missing, though the manifest names it", STATUS_OK);
    else if (f->altered)
        complain(f->name, "is not as it was written (its hash differs); shown all the same",
                 STATUS_OK);
    if (f->cut > 0) {
        text_append(words, sizeof words,
                    "%ld row%s shorter than the head; the last number of such a row is left out",
                    f->cut, f->cut == 1 ? " is" : "s are");
        complain(f->name, words, STATUS_OK);
    }
}

/* ---- the list ---------------------------------------------------------------------------------
 */

struct entry {
    char text[CELLS][NAME_ROOM];
};

static void set_number(const struct series_column *k, double stored, char out[SCREEN_CELL])
{
    const struct series_unit u = series_unit_in_taste(k->name);
    if (k->numbers == 0)
        strcpy(out, "-");
    else
        chart_number(stored * u.factor + u.offset, out);
}

static void set_line(const struct series_column *k, struct entry *out)
{
    char safe[4 * SERIES_NAME];
    text_escape(k->name, safe, sizeof safe);
    snprintf(out->text[0], sizeof out->text[0], "%s", safe);
    set_number(k, k->first, out->text[1]);
    set_number(k, k->last, out->text[2]);
    set_number(k, k->least, out->text[3]);
    set_number(k, k->greatest, out->text[4]);
    snprintf(out->text[5], SCREEN_CELL, "%s", series_unit_in_taste(k->name).words);
}

static void put_file_head(const struct series_file *f)
{
    char low[SCREEN_CELL], high[SCREEN_CELL];
    printf("\n%s: %ld row%s", f->name, f->rows, f->rows == 1 ? "" : "s");
    if (f->along >= 0 && f->column[f->along].numbers > 0)
        printf(" along %s, %s to %s", f->column[f->along].name,
               chart_number(f->column[f->along].least, low),
               chart_number(f->column[f->along].greatest, high));
    if (f->stretches > 1)
        printf(", %d times", f->stretches);
    puts("");
}

/* Names that would make a line longer than the screen are cut. */
static void cut_names(struct entry line[], int rows, const char *const head[])
{
    int room = SCREEN_COLUMNS - 2;
    for (int j = 1; j < CELLS; j++) {
        int widest = (int)strlen(head[j]);
        for (int i = 0; i < rows; i++)
            widest = (int)fmax(widest, (double)strlen(line[i].text[j]));
        room -= 2 + widest;
    }
    for (int i = 0; i < rows; i++) {
        size_t n = strlen(line[i].text[0]);
        while (text_columns(line[i].text[0], n) > room)
            do
                n--;
            while (((unsigned char)line[i].text[0][n] & 0xc0) == 0x80);
        line[i].text[0][n] = '\0';
    }
}

static enum status put_file(const struct series_file *f)
{
    static const char *const head[CELLS] = {
        "channel", "first", "last", "least", "greatest", "unit"
    };
    struct entry *line = calloc(SERIES_COLUMNS, sizeof *line);
    const char *cells[(SERIES_COLUMNS + 1) * CELLS];
    int rows = 0;
    if (!line)
        return STATUS_MEMORY;
    memcpy(cells, head, sizeof head);
    for (int i = 0; i < f->columns; i++) {
        if (!series_shown(f, i))
            continue;
        set_line(&f->column[i], &line[rows]);
        rows++;
        for (int j = 0; j < CELLS; j++)
            cells[rows * CELLS + j] = line[rows - 1].text[j][0] ? line[rows - 1].text[j] : NULL;
    }
    cut_names(line, rows, head);
    if (rows > 0) {
        put_file_head(f);
        screen_table(stdout, cells, rows + 1, CELLS);
    }
    free(line);
    return STATUS_OK;
}

/* A channel to try: the first that changes and has a unit. */
static const char *first_channel(const struct series *s)
{
    const char *first = NULL;
    for (int i = 0; i < s->files; i++)
        for (int k = 0; k < s->file[i]->columns; k++) {
            const struct series_column *c = &s->file[i]->column[k];
            if (!series_shown(s->file[i], k) || c->numbers == 0)
                continue;
            if (c->least < c->greatest && series_unit_of(c->name).words[0] != '\0')
                return c->name;
            first = first ? first : c->name;
        }
    return first;
}

static enum status list(const struct series *s, const struct options *o)
{
    char dir[PATH_ROOM], channel[4 * SERIES_NAME];
    const char *first = first_channel(s);
    printf("Series of %s\n", screen_argument(o->operand, dir, sizeof dir));
    for (int i = 0; i < s->files; i++) {
        warn(s->file[i]);
        TRY(put_file(s->file[i]));
    }
    if (s->events >= 0)
        printf("\nevents.csv: %ld events; --events marks them below a channel\n", s->events);
    if (first)
        printf("\nNext: leat show %s %s\n", dir, screen_argument(first, channel, sizeof channel));
    else
        puts("\nNo file there holds a series.  Next: leat run FILE");
    return STATUS_OK;
}

/* Names and ends of all series, for programs. */
static enum status list_csv(const struct series *s)
{
    puts("file,channel,unit,numbers,first,last,least,greatest");
    for (int i = 0; i < s->files; i++) {
        const struct series_file *f = s->file[i];
        warn(f);
        for (int k = 0; k < f->columns; k++) {
            const struct series_column *c = &f->column[k];
            char safe[4 * SERIES_NAME];
            if (!series_shown(f, k))
                continue;
            text_escape(c->name, safe, sizeof safe);
            for (char *q = safe; *q; q++)
                *q = *q == '"' ? '\'' : *q;
            printf("%s,\"%s\",%s,%ld", f->name, safe, series_unit_of(c->name).words, c->numbers);
            if (c->numbers > 0)
                printf(",%.9g,%.9g,%.9g,%.9g\n", c->first, c->last, c->least, c->greatest);
            else
                puts(",,,,");
        }
    }
    return STATUS_OK;
}

/* ---- channels ---------------------------------------------------------------------------------
 */

static enum status find_all(const struct series *s, const struct options *o,
                            struct series_pick pick[])
{
    enum status status = STATUS_OK;
    for (int i = 1; i < o->operand_count; i++) {
        const char *near = NULL;
        char words[SERIES_WORDS] = "is no channel of this folder", shown[4 * SERIES_NAME];
        if (series_find(s, o->operands[i], &pick[i - 1], &near))
            continue;
        if (near)
            text_append(words, sizeof words, "; did you mean %s?",
                        text_escape(near, shown, sizeof shown));
        status = complain(o->operands[i], words, STATUS_USAGE);
    }
    if (status != STATUS_OK) {
        char dir[PATH_ROOM];
        fprintf(stderr, "leat show %s lists them\n", screen_argument(o->operand, dir, sizeof dir));
    }
    return status;
}

static enum status set_window(const struct series *s, const struct options *o,
                              const struct series_pick pick[], int picks, struct chart_wish *wish)
{
    char words[SERIES_WORDS];
    *wish = (struct chart_wish){ .from = NAN, .to = NAN, .events = o->events };
    for (int i = 1; i < picks && (o->from || o->to); i++)
        if (pick[i].file->along < 0 || pick[0].file->along < 0 ||
            strcmp(pick[i].file->column[pick[i].file->along].name,
                   pick[0].file->column[pick[0].file->along].name) != 0)
            return complain(pick[i].file->name, "has another axis: --from and --to need one",
                            STATUS_USAGE);
    if (o->from && !series_moment(s, pick[0].file, o->from, &wish->from, words))
        return complain("--from", words, STATUS_USAGE);
    if (o->to && !series_moment(s, pick[0].file, o->to, &wish->to, words))
        return complain("--to", words, STATUS_USAGE);
    if (wish->from >= wish->to)
        return complain("--from", "must lie before --to", STATUS_USAGE);
    return STATUS_OK;
}

static enum status put_csv(const struct series *s, const struct options *o,
                           const struct series_pick pick[], int picks,
                           const struct chart_wish *wish)
{
    const struct series_file *f = pick[0].file;
    for (int i = 1; i < picks; i++)
        if (pick[i].file != f)
            return complain(pick[i].file->name, "csv has the rows of one file at a time",
                            STATUS_USAGE);
    if (o->points > 0 && (f->along < 0 || f->stretches > 1))
        return complain(f->name, "--points needs rows along one axis; leave it out", STATUS_USAGE);
    return chart_csv(s, pick, picks, wish, o->points, stdout);
}

static enum status draw(const struct series *s, const struct options *o)
{
    const int picks = o->operand_count - 1;
    struct series_pick *pick = calloc((size_t)picks, sizeof *pick);
    struct chart_wish wish;
    char dir[PATH_ROOM];
    if (!pick)
        return STATUS_MEMORY;
    enum status status = find_all(s, o, pick);
    if (status == STATUS_OK)
        status = set_window(s, o, pick, picks, &wish);
    for (int i = 0; i < picks && status == STATUS_OK; i++) {
        bool said = false;
        for (int j = 0; j < i; j++)
            said |= pick[j].file == pick[i].file;
        if (!said)
            warn(pick[i].file);
    }
    if (status == STATUS_OK && o->format == FORMAT_CSV)
        status = put_csv(s, o, pick, picks, &wish);
    else if (status == STATUS_OK)
        status = chart_draw(s, pick, picks, &wish, stdout);
    if (status == STATUS_OK && o->format != FORMAT_CSV)
        printf("\nNext: leat report %s\n", screen_argument(o->operand, dir, sizeof dir));
    free(pick);
    return status == STATUS_NO_INPUT ? complain(o->operand, "has no row there", status) : status;
}

enum status command_show(const struct options *o)
{
    struct series s;
    char words[SERIES_WORDS] = "";
    enum status status = series_open(&s, o->operand, words);
    if (status != STATUS_OK)
        return complain(o->operand, words[0] ? words : status_words(status), status);
    if (o->operand_count > 1)
        status = draw(&s, o);
    else
        status = o->format == FORMAT_CSV ? list_csv(&s) : list(&s, o);
    series_close(&s);
    return status;
}
