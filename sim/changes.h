/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * changes: what a reaction has changed, in words for the observers.
 */
#ifndef SIM_CHANGES_H
#define SIM_CHANGES_H

/* A change worth a line in the log; words are constant texts. */
struct change {
    const char *kind, *part, *words;
};

enum { CHANGES_MAX = 16 };

struct changes {
    int count;
    struct change change[CHANGES_MAX];
};

void changes_add(struct changes *c, const char *kind, const char *part, const char *words);

#endif
