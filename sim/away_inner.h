/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * away_inner: what the files share that find whether one may leave (away.c, away_stays.c,
 * away_chemistry.c), and those that print it (away_print.c, away_tables.c).
 */
#ifndef SIM_AWAY_INNER_H
#define SIM_AWAY_INNER_H

#include "away.h"
#include "screen.h"

/* Spans without any fault, from each moment of a campaign. */
struct away_stays {
    const struct campaign *campaign;
    struct away_stay stay[MOMENTS_MAX];
};

/* Fills them. */
enum status away_try_stays(struct campaign *c, double span, struct away_stays *out);

/* Fills what a measure has to say of a time without a fault; c is the campaign with it. */
enum status away_try_without_fault(struct away *a, struct campaign *c, struct away_measure *m);

bool away_salt_within(const struct away_stay *s, const struct limits *l);

/* Moments for absences with the whole chemistry: `leaving` [s] if that was given. */
enum status away_choose_stops(struct away *a, double leaving);
enum status away_try_cases(struct away *a);
void away_judge_cartridges(struct away *a); /* after the cases and the measures */

/* ---- as people read it ---- */

char *away_odds(double p, char out[SCREEN_CELL]); /* "1 in 40", "23 %": two digits at most */
char *away_day(double t, char out[SCREEN_CELL]);  /* "day 3.2", counted from leaving */
void away_names(const struct away *a, unsigned which, char *out, size_t size); /* of cartridges */
const struct away_measure *away_best(const struct away *a);

void away_measures(const struct away *a, FILE *out);
void away_reserves(const struct away *a, FILE *out);
void away_cases(const struct away *a, FILE *out);
void away_dues(const struct away *a, FILE *out);

#endif
