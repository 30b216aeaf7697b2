/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page: one HTML page from what verbs left in folders: no script, no network, figures inline.  Page:
 * docs/page.md.
 *
 * Folders may come from anybody.  All that is not a constant of ours goes through page_text, or, if
 * it is a figure, through page_svg, which lets only known elements and attributes pass.
 */
#ifndef SIM_PAGE_H
#define SIM_PAGE_H

#include <jansson.h>
#include <stdbool.h>
#include <stdio.h>

#include "hash.h"
#include "results.h"
#include "rows.h"

enum {
    PAGE_WORDS = RESULTS_WORDS,
    PAGE_PARTS_MAX = 16,
    PAGE_TITLE = 4 * 200,
    PAGE_ID = 64,
    PAGE_FILE_BYTES_MAX = 64 << 20
};

/* ---- text: page_text.c --------------------------------------------------------------------------- */

/* Writes text for HTML, in an element or in double quotes.  What is no UTF-8, no plain character, or turns the
 * direction of writing is shown by its number (\x1b, \u202e); NULL is empty. */
void page_text(FILE *out, const char *text);

/* The same for a cell of a table: never the beginning of a spreadsheet formula, for tables are copied; a number
 * stays as it is. */
void page_cell(FILE *out, const char *text);

/* A paragraph of docs/: **strong**, *stressed*, `code`, escaped otherwise.  size: bytes of it. */
void page_prose(FILE *out, const char *text, size_t size);

/* The hash of bytes as a policy wants it: "sha256-" and base64. */
enum { PAGE_HASH = 64 };
void page_policy_hash(const void *bytes, size_t size, char out[PAGE_HASH]);

/* ---- figures: page_svg.c, page_figures.c --------------------------------------------------------- */

struct page_picture {
    const char *id;          /* goes before every id in it */
    const char *title;       /* plain text, as is the next */
    const char *description; /* what is seen, in words */
};

/* Writes a picture (svg) that gnuplot made as an element of a page.  False, and why, if it holds anything that
 * such a picture does not hold; then what was written so far must not be used.  *bitmap: whether a bitmap lies
 * in it. */
bool page_svg(FILE *out, const char *svg, size_t size, const struct page_picture *p, bool *bitmap,
              char why[PAGE_WORDS]);

/* An attribute of an element in the figure `id`.  Writes it if it may pass, nothing if it is left out; false if
 * it may not. */
struct page_svg_attribute {
    const char *id, *element, *name, *value;
};
bool page_svg_pass(FILE *out, const struct page_svg_attribute *a, bool *bitmap);

/* ---- folders: page_folder.c ---------------------------------------------------------------------- */

struct page_kind;

struct page_file {
    char name[RESULTS_NAME];
    char *bytes; /* ended by one NUL more; NULL if it is not one that is shown */
    size_t size;
};

/* A folder that a verb left, whole and undamaged. */
struct page_part {
    const struct page_kind *kind;
    char folder[RESULTS_PATH]; /* for complaints */
    json_t *manifest;
    char fingerprint[HASH_TEXT]; /* of the manifest */
    json_t *json;                /* the answer for programs; NULL: none */
    char title[PAGE_TITLE], start[32];
    double length; /* s, of the scenario; NAN: not known */
    int files;
    struct page_file file[RESULTS_FILES_MAX];
};

/* Reads a folder and compares every file with its hash.  Words tell which file is not as it was written, or why
 * it is no folder of ours.  Free it after success. */
enum status page_folder_read(struct page_part *part, const char *path, char words[PAGE_WORDS]);
void page_folder_free(struct page_part *part);

/* A file that is shown, or NULL. */
const struct page_file *page_folder_file(const struct page_part *part, const char *name);

bool page_folder_has_figures(const struct page_part *part);

/* The rows of a CSV file; close them by rows_close.  False if it is not there. */
bool page_folder_rows(const struct page_part *part, const char *name, struct rows *rows);

/* ---- what each verb leaves: page_kinds.c --------------------------------------------------------- */

/* How a column of a CSV file is shown: by so many decimals, or as one of these. */
enum {
    PAGE_AS_IT_IS = -1,
    PAGE_DIGITS = -2, /* three of them */
    PAGE_PERCENT = -3,
    PAGE_HOURS = -4,  /* "84 min" */
    PAGE_YEARLY = -5, /* "once in 38 years" */
    PAGE_YES_NO = -6
};
struct page_column {
    const char *name, *heading;
    int shown;
};

struct page_table {
    const char *file, *caption;
    const struct page_column *columns; /* ended by a NULL name */
    const char *ranked;                /* column of ranks: rows that have one, in their order; NULL: all */
    const char *where, *is;            /* rows whose cell `where` is so; NULL: all */
    bool keys;                         /* columns named like keys of a scenario go first */
};

struct page_kind {
    const char *verb;
    const char *mark;    /* the file that only this verb leaves */
    const char *json;    /* the answer for programs; NULL: none */
    const char *words;   /* the answer in words */
    int skip;            /* its paragraphs before the answer */
    const char *heading; /* of its section */
    const char *question;
    const struct page_table *tables; /* ended by a NULL file */
    bool many;                       /* several of these may lie in one page */
};

extern const struct page_kind page_kinds[]; /* in the order of the page, ended by a NULL verb */

/* ---- the document: page.c ------------------------------------------------------------------------ */

struct page {
    FILE *out;
    bool bitmap; /* a figure holds one */
    char why[PAGE_WORDS];
};

/* A box of its own in which what is too wide is moved sideways, also by keys; `label` is read for it. */
void page_box(struct page *p, const char *label);
void page_box_end(struct page *p);

/* Head of a table in its box: a caption and its columns, ended by NULL; `right`: a letter for each, r for
 * numbers. */
void page_table_head(struct page *p, const char *caption, const char *const columns[], const char *right);
void page_table_end(struct page *p);

/* A row of cells, the first its head. */
void page_table_row(struct page *p, const char *const cells[], int count, const char *right);

/* Parts of a page; each writes nothing if what it shows is not in the folder. */
void page_answer(struct page *p, const struct page_part *part);
void page_printed(struct page *p, const struct page_part *part); /* all of its words, if there are more */
void page_csv(struct page *p, const struct page_part *part, const struct page_table *table);
bool page_figures(struct page *p, const struct page_part *part, int section);
void page_events(struct page *p, const struct page_part *part);
void page_replacements(struct page *p, const struct page_part *part);
void page_cost(struct page *p, const struct page_part *part);
void page_balance(struct page *p, const struct page_part *part);
void page_values(struct page *p, const struct page_part *part);
void page_trust(struct page *p, const struct page_part *const parts[], int count);
void page_cautions(struct page *p);
void page_words(struct page *p, const char *body); /* terms that the body uses */
void page_making(struct page *p, const struct page_part *const parts[], int count);

/* Writes the page of the parts (`parts` ended by NULL), the bytes are the caller's to free.  Words tell which figure was refused. */
enum status page_write(const struct page_part *const parts[], int count, char **bytes, size_t *size,
                       char words[PAGE_WORDS]);

/* ---- the file: page_save.c ----------------------------------------------------------------------- */

/* Writes it whole or not at all.  A file that is there is replaced only by `force`, and never if it is no plain
 * file. */
enum status page_save(const char *target, bool force, const char *bytes, size_t size,
                      char words[PAGE_WORDS]);

#endif
