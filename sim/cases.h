/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cases: named lists of independent cases, whose results may be kept in a folder as they come.  A campaign can
 * then be killed and gone on with, and be split into parts that are joined.  Page: docs/campaigns.md.
 */
#ifndef SIM_CASES_H
#define SIM_CASES_H

#include "campaign.h"
#include "crew.h"
#include "scenario.h"

enum { CASES_NAME = 48, CASES_OPTIONS = 160, CASES_PARTS_MAX = 1000, CASES_WORDS = 8192 };

#define CASES_SCENARIO "scenario.resolved.cfg"

/* ---- running them ------------------------------------------------------------------------------ */

struct cases_list {
    const char *name;           /* the same in every run; the campaign's name stands in front */
    long count;
    size_t size;                /* of one result: plain bytes without gaps or pointers */
    void *results;              /* count of them; those that stay unknown are not touched */
    const bool *wanted;         /* NULL: all */
    bool (*sound)(const void *result); /* whether it would be the same again, and may be kept; NULL: always */
    bool everywhere;            /* every part runs all of them: cheap, and others depend on them */
};

/* Calls work(self, i) on all threads for each wanted case that is not known yet and belongs to this part; it puts
 * its result into results[i].  What is wanted and known is put there, too.  Without a store all wanted cases are run.
 * STATUS_INTERRUPTED if a person stopped it; STATUS_MEMORY if a case noted that memory ran out (memory.h), which is
 * not kept then; else trouble with the store, see cases_trouble. */
enum status cases_all(const struct campaign *c, const struct cases_list *l,
                      void (*work)(void *self, long i), void *self);

/* The same without a campaign: on this crew, kept in this store (NULL: nowhere). */
enum status cases_crew(struct cases *k, const struct crew *crew, const struct cases_list *l,
                       void (*work)(void *self, long i), void *self);

/* What must come out the same wherever a part is run: kept, or compared with what was kept. */
enum status cases_agree(const struct campaign *c, const char *name, const void *bytes, size_t size);

/* ---- the store --------------------------------------------------------------------------------- */

/* What the results in a store belong to. */
struct cases_of {
    const char *verb;           /* that asked */
    const char *file;           /* by which name a person called the scenario */
    char options[CASES_OPTIONS]; /* that change the answer, as the verb writes them */
    int part, parts;            /* 1 of 1: the whole */
};

struct cases;

/* Goes on with the store in a folder, or makes one if `fresh` allows it; anything that does not fit the scenario,
 * what it is of, or this build of the program is refused in words. */
enum status cases_open(struct cases **out, const char *folder, const struct scenario *s,
                       const struct cases_of *of, bool fresh, char words[CASES_WORDS]);

/* Joins the stores of all parts, for reading; *of gets what they are of, and lives as long as the store. */
enum status cases_gather(struct cases **out, const char *const folders[], int count,
                         struct cases_of *of, char words[CASES_WORDS]);

/* Whether a scenario is the one that the store belongs to. */
bool cases_fits(const struct cases *k, const struct scenario *s);

/* Notes that all is done and sees that it is on the disk. */
enum status cases_finish(struct cases *k);

void cases_free(struct cases *k); /* NULL is allowed */

bool cases_partial(const struct cases *k);       /* only a part of the cases is run; false for NULL */
long cases_known(const struct cases *k);         /* results in the store */
long cases_run(const struct cases *k);           /* of these, run by this process; of gathered ones, beside them */
const char *cases_trouble(const struct cases *k); /* "" if there is none */

#endif
