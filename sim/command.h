/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command: one function a verb, one file a function.  Results go to stdout, talk to stderr.
 * Page: docs/commands.md.
 */
#ifndef SIM_COMMAND_H
#define SIM_COMMAND_H

#include <jansson.h>
#include <signal.h>

#include "cases.h"
#include "options.h"

enum status command_new(const struct options *o);
enum status command_keys(const struct options *o);
enum status command_check(const struct options *o);
enum status command_run(const struct options *o);
enum status command_overflow(const struct options *o);
enum status command_away(const struct options *o);
enum status command_gather(const struct options *o);

/* Reads the scenario, says what is wrong with it, and answers by `act`, which says itself why it does not. */
enum status command_with_scenario(const struct options *o, const char *verb,
                                  enum status (*act)(const struct scenario *s,
                                                     const struct options *o));

/* Prints and frees an answer; STATUS_MEMORY for NULL. */
enum status command_tell_json(json_t *json);

struct results;
struct drawing;

/* Makes the folder of a verb before the work is done, and says why it cannot, or what stands beside it; no target
 * (NULL), no folder. */
enum status command_open_folder(const char *verb, const char *target, bool force, struct results *r);

/* After drawing into the open folder of a verb: notes its pictures, or leaves none of half a set; says what went
 * wrong. */
void command_drawn(const char *verb, struct results *r, struct drawing *d);

/* Ends the open folder of a verb: whole and in its place, or nothing is left of it.  `words` (RESULTS_WORDS) get what
 * went wrong, or are empty. */
enum status command_close_folder(struct results *r, enum status status, unsigned long seed, char words[]);

/* Where leat run leaves the results of a file if no folder is named; `out` has RESULTS_PATH. */
void command_results_of(const char *file, char out[]);

/* That name, or the first of NAME-2, NAME-3 ... that nothing has yet; `out` has RESULTS_PATH. */
void command_room(const char *name, char out[]);

/* "Next: leat run FILE", with a folder named if the usual one is taken; the line is not ended. */
void command_say_run(const char *file);

/* Says where the folder is, and its pictures. */
void command_tell_folder(const struct results *r, const struct drawing *d);

/* The answer of leat overflow, with results kept in a store, or known from there; NULL: none.  Says itself why
 * there is none. */
enum status command_overflow_of(const struct scenario *s, const struct options *o,
                                struct cases *cases);

/* Its options from the text in a store; false if the text is none. */
bool command_overflow_read(struct options *o, const char *text);

/* The same of leat sweep: as gathered, all rows are known. */
enum status command_sweep_of(const struct scenario *s, const struct options *o, struct cases *cases);
bool command_sweep_read(struct options *o, const char *text);

/* The store that --keep or --resume name, for a verb and its options; NULL if neither does. */
enum status command_store_open(const struct scenario *s, const struct options *o,
                               const struct cases_of *verb, struct cases **cases);

/* Says how to go on with a campaign that was interrupted; that a part is done, and how to gather. */
void command_store_stopped(const struct options *o, const struct cases_of *verb,
                           const struct cases *cases);
void command_store_part(const struct options *o, const struct cases *cases);
enum status command_rinse(const struct options *o);
enum status command_read(const struct options *o);
enum status command_life(const struct options *o);
enum status command_sweep(const struct options *o);
enum status command_show(const struct options *o);
enum status command_along(const struct options *o);

/* leat along FILE --animate. */
enum status command_film(const struct scenario *s, const struct options *o);
enum status command_report(const struct options *o);

/* The number of the signal that asked to stop, 0 as long as none did; set by main's handler. */
extern volatile sig_atomic_t command_stop;

#endif
