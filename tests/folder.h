/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * folder: a folder of its own for a test, and small files in it.  What cannot be made ends the test.
 */
#ifndef TESTS_FOLDER_H
#define TESTS_FOLDER_H

#include <stdbool.h>

enum { FOLDER_PATH = 64 };

/* A new empty folder; path gets its name. */
void folder_make(char path[FOLDER_PATH]);

/* Removes one that folder_make made, and all that is in it; no link is followed. */
void folder_remove(const char *path);

/* For a suite: every test works in a folder of its own, and leaves nothing. */
void folder_enter(void);
void folder_leave(void);

void folder_put(const char *path, const char *text);
bool folder_has(const char *path);                     /* a link, too, wherever it points */
bool folder_holds(const char *path, const char *text); /* this text, and no more */

#endif
