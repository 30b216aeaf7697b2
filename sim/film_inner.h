/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * film_inner: what the two files that record a film share.
 */
#ifndef SIM_FILM_INNER_H
#define SIM_FILM_INNER_H

#include "film.h"

struct film_camera {
    struct film *film;     /* with its span and room for its frames */
    int next;              /* frame to be taken */
    double made;           /* m3 until the last parcel */
    struct film_bin since; /* the last frame */
};

void film_camera_see(void *self, const struct glimpse *g); /* an observer's see */

/* Whether this is the moment at which a stage is replaced. */
bool film_replaces(const struct glimpse *g, int stage);

#endif
