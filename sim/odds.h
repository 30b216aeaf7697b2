/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * odds: the mathematics of rare failures: rates that are poorly known, faults that wait unseen,
 * sets of faults that spill together, and what a number of trials proves.  Page: docs/odds.md.
 *
 * Everything is a function of its arguments.  Times and rates may be in any unit, if in one.  An
 * argument out of its range gives NAN; a probability of a sum of sets is never clipped.
 */
#ifndef SIM_ODDS_H
#define SIM_ODDS_H

#include <stdint.h>

/* ---- how well a rate is known, and wear-out (odds.c) ---- */

/* Standard normal deviate that is not passed with probability p, 0 < p < 1. */
double odds_normal(double p);

/* Chance of at most so many hits in independent trials that each hit with probability p. */
double odds_at_most(int hits, double p, int trials);

/* Lognormal by its median and its error factor, the 95th over the 50th percentile, 1 or more. */
double odds_sigma(double error_factor); /* of the logarithm */
double odds_mean(double median, double error_factor);
double odds_quantile(double median, double error_factor, double p); /* 0 < p < 1 */

/* Error factor of the product of n independent lognormals. */
double odds_product_factor(const double error_factor[], int n);

/* Weibull of a scale [time] and a shape, both above 0: mean life; share that has failed at an age.
 */
double odds_weibull_mean(double scale, double shape);
double odds_weibull_share(double scale, double shape, double age);

/* ---- what trials prove (odds.c) ---- */

enum { ODDS_TRIALS = 1000000, ODDS_COUNT = 100000 }; /* the library is sound up to here */

struct odds_interval {
    double low, high;
};

/* A share, from `hits` of 1 to ODDS_TRIALS independent yes-or-no trials; two-sided, confidence
 * between 0 and 1.  Clopper and Pearson's never covers less than it says. */
struct odds_interval odds_wilson(long hits, long trials, double confidence);
struct odds_interval odds_clopper_pearson(long hits, long trials, double confidence);

/* A rate [1/time], from the number of events in a span, up to ODDS_COUNT. */
struct odds_interval odds_rate_interval(long events, double span, double confidence);

/* The upper limits alone, one-sided: for no hits the rule of three, about 3/n at 0.95. */
double odds_share_limit(long hits, long trials, double confidence);
double odds_rate_limit(long events, double span, double confidence);

/* Share of the years in which something happens that comes f times a year, and back. */
double odds_share(double frequency);
double odds_frequency_of_share(double share);

/* Plain trials that an estimate of p with this relative standard error takes. */
double odds_trials_needed(double p, double relative_error);

/* Trials drawn from other odds than the true ones, each with its weight, true over drawn density.
 * Zero is an empty sample. */
struct odds_sample {
    long n;
    double mean;   /* of value x weight: unbiased */
    double spread; /* sum of squares about it */
};

void odds_sample_add(struct odds_sample *s, double value, double weight);
double odds_sample_error(const struct odds_sample *s); /* standard error of the mean, n over 1 */

/* Plain trials, less one, that would have the same error; the values must be 0 or 1, the mean
 * between.  NAN as long as nothing was hit. */
double odds_sample_trials(const struct odds_sample *s);

/* Equal hits that would have the same relative error; when few, one heavy trial decides, and the
 * error itself is not to be trusted. */
double odds_sample_hits(const struct odds_sample *s);

/* Weight of a span with so many failures, drawn at the rate `drawn` in place of `rate`. */
double odds_weight(double rate, double drawn, long failures, double span);

/* ---- faults that wait (odds_standby.c) ---- */

/* Mean share of the time that a part is failed whose faults, of this rate, show only at a test
 * every `interval`, and are then mended at once. */
double odds_hidden(double rate, double interval);

/* The same where mending takes from 0 to one interval, and the part is missing meanwhile. */
double odds_hidden_mended(double rate, double interval, double mending);

/* The same where a test finds the share `coverage` only, and the part is renewed after `life`, a
 * whole number of intervals (else an interpolation). */
double odds_hidden_partly(double rate, double interval, double coverage, double life);

/* The same for faults that are seen at once and mended after a mean delay. */
double odds_revealed(double rate, double mending);

/* Common cause by the beta factor, 0 to 1: rates of one part alone, and of two like ones
 * together.  Between a control and its guard the second is an initiator of its own. */
struct odds_split {
    double alone, together; /* 1/time */
};
struct odds_split odds_split(double rate, double beta);

/* Mean share of the time that both of two like guards are failed, tested on the same day. */
double odds_pair(double rate, double interval, double beta);

/* IEC 61508-6, first order in rate x interval, with a mean delay of mending: one guard; one out of
 * two. */
double odds_iec_single(double rate, double interval, double mending);
double odds_iec_pair(double rate, double interval, double mending, double beta);

/* How a part, or a person, fails.  Failed at a time t after the test of all:
 * q(t) = 1 - (1 - standing) exp(-hides t). */
struct odds_part {
    double starts;   /* 1/time, faults that can be the last of a set; 0 for one that only waits */
    double hides;    /* 1/time, faults that nobody sees before the next test */
    double standing; /* chance to be failed or to fail when called, at any time since the test */
};

enum { ODDS_EVENTS = 64 }; /* a set is a mask: bit i is part i, or event i */

/* Mean chance that all parts of a set are failed; every part is tested on the same day. */
double odds_waiting(uint64_t set, const struct odds_part part[], int parts, double interval);

/* How often a set becomes complete [1/time]: the mean of the sum, over the parts that can come
 * last, of starts (1 - q) times the q of all others.  Assumes independent parts, one day of tests
 * for all that hides, mending at once, and that a spill does not move that day. */
double odds_frequency(uint64_t set, const struct odds_part part[], int parts, double interval);

/* ---- sets of faults (odds_sets.c) ---- */

/* Something happens when all events of any set have; the events are independent. */
struct odds_tree {
    const uint64_t *set;
    const double *p; /* chance of each event */
    int sets, events;
};

/* Drops, in place, sets that hold another one and repetitions; order stays.  Returns how many are
 * left. */
int odds_minimal(uint64_t set[], int sets);

/* Chance that it happens: sum over the sets (may exceed 1), bound from above if the sets are
 * minimal, exact.  The last takes up to 2^events steps, usually far fewer: meant for 24 events.  An
 * empty list never happens, an empty set always. */
double odds_rare(const struct odds_tree *t);
double odds_bound(const struct odds_tree *t);
double odds_exact(const struct odds_tree *t);

/* How much one event matters, exact; the sets must be minimal. */
struct odds_importance {
    double birnbaum;       /* P(sure) - P(never) */
    double criticality;    /* birnbaum p/P */
    double fussell_vesely; /* P(any set that holds it)/P */
    double achievement;    /* P(sure)/P, RAW */
    double reduction;      /* P/P(never), RRW; INFINITY if it is in every set */
    double diagnostic;     /* chance that it has happened, given that the whole has */
};

struct odds_importance odds_importance(const struct odds_tree *t, int event);

#endif
