/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cell: see cell.h.
 */
#include "cell.h"

#include <string.h>

void cell_text(FILE *out, const char *text)
{
    fputs(text[0] && strchr("=+-@", text[0]) ? "\"'" : "\"", out);
    for (; *text != '\0'; text++) {
        if (*text == '"')
            fputc('"', out);
        fputc((unsigned char)*text < ' ' ? ' ' : *text, out);
    }
    fputc('"', out);
}
