/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * gif: whether a picture in the Graphics Interchange Format is whole, block by block, and how many
 * frames it has.  After the specification of version 89a (CompuServe 1990).
 */
#ifndef SIM_GIF_H
#define SIM_GIF_H

#include <stddef.h>

/* Frames; -1 if a block is cut, unknown or outside, or the trailer is not the last byte. */
int gif_frames(const unsigned char *bytes, size_t size);

#endif
