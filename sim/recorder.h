/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * recorder: observers that write files as the run goes on: series, events, days, beds.  Memory does
 * not grow with the length of the run.
 */
#ifndef SIM_RECORDER_H
#define SIM_RECORDER_H

#include "balance.h"
#include "decimal.h"
#include "results.h"
#include "run.h"

enum { RECORDER_COLUMNS = 32 }; /* at most, of the series */

struct recorder {
    FILE *series, *events, *daily, *front, *wear;
    struct decimal_kept cells[RECORDER_COLUMNS]; /* of the last row of the series */
    double x_midnight[X_COUNT]; /* at the last midnight */
    char start_date[24];
};

enum { RECORDER_FILES = 5 };

/* What it must know to go on: beside x_midnight how long each file was. */
struct recorder_saved {
    double x_midnight[X_COUNT];
    long size[RECORDER_FILES];
};

/* Opens series.csv, events.csv, daily.csv and front.csv in the results folder; the series gets its
 * header when the run starts. */
enum status recorder_open(struct recorder *r, struct results *folder, const struct plan *plan);

/* The same for a run that goes on: what the folder `from` has of each file comes first.  Words get
 * the reason if they are not as they were left. */
enum status recorder_continue(struct recorder *r, struct results *folder, const struct plan *plan,
                              const char *from, const struct recorder_saved *saved,
                              char words[RESULTS_WORDS]);
void recorder_save(const struct recorder *r, struct recorder_saved *out);

void recorder_see(void *self, const struct glimpse *g); /* an observer's see */

/* Writes limits.csv: the fixed lines of the figures. */
enum status recorder_limits(struct results *folder, const struct plant *p, const struct plan *plan);
/* Writes cost.csv: what each part of the run cost. */
struct cost_row {
    const char *part;
    double amount;
};
enum status recorder_cost(struct results *folder, const struct cost_row *rows, int count,
                          const char *currency);

/* Writes pulse.csv: the reading behind the membrane in the first minutes after rests of several
 * lengths, new membrane, mean feed. */
enum status recorder_pulse(struct results *folder, const struct plant *p);

enum status recorder_balance(struct results *folder, const struct balance_row *rows);

#endif
