/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_year: what a rinse programme costs in a year.  Page: docs/rinse.md.
 *
 * The whole engine runs a year, seasons, draws and all, with the membrane held in the middle of its
 * life: every few weeks its wear is put back by half of what it gained.  So the water is that of a
 * mean membrane, and what it gained says how long one lasts.
 */
#ifndef SIM_RINSE_YEAR_H
#define SIM_RINSE_YEAR_H

#include "run.h"

/* Why a part ends. */
enum rinse_end { RINSE_END_FLOW, RINSE_END_PASSAGE, RINSE_END_CALENDAR, RINSE_END_NONE };

/* What all programmes have in common. */
struct rinse_case {
    struct plant plant;         /* nothing behind the membrane: what that loses in pressure is little */
    struct plan plan;           /* nobody there, no events */
    double span;                /* s, a year; less in tests */
    double flow, passage;       /* factors on those of a new membrane at which it is due */
    bool flow_assumed;          /* no rule of the scenario says so */
    bool membrane_assumed, resin_assumed; /* its price is ours */
    double membrane_price, resin_price;   /* money for all elements, for all beds behind it */
    double membrane_calendar, resin_calendar; /* s; NAN: not by this */
    bool has_resin;
    double resin_load;          /* mol of charge that the beds take until they are due */
    int load_side;              /* 0 cations, 1 anions: which of them ends the beds */
};

/* A year of one programme; amounts of a year [m3], money of a year. */
struct rinse_year {
    enum status status;
    double served;              /* that was drawn and topped off */
    double feed, drain, lost;   /* drain: all that goes there; lost: product among it */
    double water, sewer, electricity, membrane, resin, prefilters, total; /* money */
    double membrane_life, resin_life; /* s; INFINITY: there is none */
    enum rinse_end membrane_end;
    double flow_lost;           /* share of its flow that the membrane loses in a year, settled */
};

/* Prepares a case from a plant and a plan: their prices, rules and limits, else what docs/rinse.md
 * states; runs the beds behind the membrane to their end.  The membrane must be there. */
enum status rinse_year_prepare(struct rinse_case *c, const struct plant *p, const struct plan *plan,
                               double span, const volatile sig_atomic_t *stop);

/* No rinse at all, with the drain and the pump of another programme. */
struct rinse rinse_year_none(const struct rinse *like);

/* One programme; the case is not changed. */
struct rinse_year rinse_year_of(const struct rinse_case *c, const struct rinse *programme,
                                const volatile sig_atomic_t *stop);

#endif
