/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sweep: the same scenario again and again, each time with some values changed and run whole.  Page:
 * docs/sweep.md.
 */
#ifndef SIM_SWEEP_H
#define SIM_SWEEP_H

#include <jansson.h>

#include "amount.h"
#include "cases.h"
#include "figure.h"
#include "results.h"
#include "scenario.h"
#include "screen.h"
#include "summary.h"
#include "vary.h"

enum {
    SWEEP_KEYS = 2,
    SWEEP_PARAMETERS = 20,      /* of a sample from the spreads of a scenario */
    SWEEP_ROWS = 2000,
    SWEEP_ANSWERS = 24 + 2 * STAGES_MAX,
    SWEEP_NAME = 64,
    SWEEP_COMPLAINT = VARY_WORDS + 200
};

/* What is changed. */
struct sweep_parameter {
    const char *key;
    const char *unit;           /* "" if there is none */
    bool numbers, log;
};

/* What a run answers.  NAN in a row: it never came. */
struct sweep_answer {
    char name[SWEEP_NAME];      /* "product_L", a column */
    char head[24];              /* "product L", of a table for people */
    struct sweep_words {
        char words[SWEEP_NAME]; /* "product made" */
        char unit[24];
    } data, people;             /* for programs, always metric, and in the taste of the process */
    enum amount kind;           /* AMOUNT_COUNT: the same in every taste */
    double least;               /* less than this is no difference */
    bool passes;                /* a moment that may never come */
};

struct sweep_row {
    struct vary_point point[SWEEP_PARAMETERS];
    enum status status;
    double answer[SWEEP_ANSWERS];
};

struct sweep_options {
    const char *file;           /* NULL: no row can be run, all are in `cases` */
    const char *const *sets;    /* of the command line, ended by NULL */
    const char *const *vary;    /* texts of --vary, so many */
    int varied;
    int samples;                /* 0: every point of a grid */
    unsigned long seed;
    struct crew crew;
    struct cases *cases;        /* where rows are kept; NULL: nowhere */
};

struct sweep {
    const struct scenario *scenario; /* as it is, without the changes */
    struct sweep_options options;
    struct vary vary[SWEEP_KEYS];
    int parameters;
    struct sweep_parameter parameter[SWEEP_PARAMETERS];
    int rows;
    struct sweep_row *row;      /* of a grid: the last key moves fastest */
    int answers;
    struct sweep_answer answer[SWEEP_ANSWERS];
    struct sweep_row *failed;   /* a run that could not go on */
};

/* Takes the changes apart and says which rows there are.  STATUS_USAGE, and words. */
enum status sweep_plan(struct sweep *s, const struct scenario *scenario,
                       const struct sweep_options *options, char words[SWEEP_COMPLAINT]);

/* Reads every row's scenario, runs none.  What is wrong, and what is to be warned of that the scenario as it is is
 * not, comes to `report`, the same words once.  *refused: how many rows. */
enum status sweep_check(struct sweep *s, const struct report *known, struct report *report,
                        int *refused);

/* Runs all rows, or those that are not known; of a part its own, see cases_partial. */
enum status sweep_run(struct sweep *s);
void sweep_free(struct sweep *s);

/* "feed.pressure = 35 psi, clock.length = 2 days"; returns out. */
enum { SWEEP_ROW_WORDS = 400 };
char *sweep_row_name(const struct sweep *s, const struct sweep_row *r, char out[SWEEP_ROW_WORDS]);

/* ---- answers ----------------------------------------------------------------------------------- */

enum { ANSWER_MONEY };             /* the first; for others see sweep_answer_named */
int sweep_answer_named(const struct sweep *s, const char *name); /* or -1 */

void sweep_answers(struct sweep *s);
void sweep_answer_row(const struct sweep *s, const struct summary *summary,
                      const struct scenario *as, double out[]);

/* ---- what the rows show ------------------------------------------------------------------------ */

enum course { COURSE_SAME, COURSE_UP, COURSE_DOWN, COURSE_TOP, COURSE_BOTTOM, COURSE_UNEVEN };

/* How an answer moves over the rows; along one key also its course from the first row to the last. */
struct sweep_move {
    int answer;
    int known;                  /* rows that have it */
    int low, high;              /* rows of its least and greatest; -1: none has it */
    double size;                /* of the greatest: the part by which it moves; 0: it does not */
    enum course course;
};

/* All answers, what moves most in front.  Returns how many move. */
int sweep_moves(const struct sweep *s, struct sweep_move out[SWEEP_ANSWERS]);

/* The same with money before all if it moves: the order of tables and pictures. */
int sweep_shown(const struct sweep *s, struct sweep_move out[SWEEP_ANSWERS]);

/* The row that costs least; of rows alike the first. */
int sweep_cheapest(const struct sweep *s);

/* Rank correlation (Spearman) of an answer with a parameter over the rows that have it; NAN. */
double sweep_rank(const struct sweep *s, int answer, int parameter);

void sweep_print(const struct sweep *s, FILE *out);
void sweep_print_sample(const struct sweep *s, const struct sweep_move m[], int moving, FILE *out);
/* What never moved, and what never came. */
void sweep_print_same(const struct sweep *s, const struct sweep_move m[], int moving, FILE *out);
char *sweep_cell(double value, char out[SCREEN_CELL]); /* "12.3", "never" */

/* Words in which # stands for the unit of a kind and @ for litre or gallon, in a taste. */
void sweep_fill(const char *words, enum taste taste, enum amount kind, char *out, size_t size);
void sweep_name(struct sweep_words *w, enum taste taste, enum amount kind, const char *words,
                const char *unit);

/* A row's answer as people are shown it, in the taste. */
double sweep_shown_answer(const struct sweep *s, int row, int answer);
double sweep_in_taste(const struct sweep *s, int answer, double value);
void sweep_picture(const struct sweep *s, FILE *out); /* in letters */
void sweep_csv(const struct sweep *s, FILE *out);
json_t *sweep_json(const struct sweep *s); /* NULL: out of memory */
enum status sweep_keep(const struct sweep *s, const json_t *json, struct results *r);
extern const struct figure sweep_figures[];
enum status sweep_over_key(struct sheet *s);
enum status sweep_map(struct sheet *s);

#endif
