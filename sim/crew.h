/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * crew: the same work on each of many cases, on as many threads as are wanted.  What comes out does not
 * depend on how many there are or who takes which.
 */
#ifndef SIM_CREW_H
#define SIM_CREW_H

#include <signal.h>
#include <stdbool.h>

struct crew {
    int jobs;                   /* threads; 0: as many as there are */
    void (*progress)(void *self, double share); /* NULL: none */
    void *progress_self;
    const volatile sig_atomic_t *stop; /* set: no more cases are begun; NULL: never */
};

/* Calls work(self, i) for each i of n; results must go to places of their own.  False if a person stopped
 * it. */
bool crew_all(const struct crew *c, long n, void (*work)(void *self, long i), void *self);

#endif
