/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: the tables of a results folder (sim/rows.c) and the sheets of figures that are made
 * of them.  The input is the table; each figure takes it for the one that it draws.
 */
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "fuzz.h"
#include "sim/figure.h"
#include "sim/rows.h"

static const char *const tables[] = { "series.csv", "events.csv", "daily.csv",
                                      "front.csv",  "wear.csv",   "limits.csv",
                                      "cost.csv",   "pulse.csv",  "inputs.csv" };

static void read_all(int folder)
{
    static const char *const names[] = { "time_days", "tank_cm", "key" };
    struct rows rows;
    int column[3];
    fuzz_demand(rows_open(&rows, folder, tables[0]), "a table that is there is opened");
    if (rows_header(&rows, names, 3, column))
        while (rows_next(&rows))
            for (int i = -1; i <= rows.fields; i++)
                rows_number(&rows, i);
    rows_close(&rows);
}

static void make_folders(struct sheet *s)
{
    const int flags = O_RDONLY | O_DIRECTORY;
    s->results = open(fuzz_folder(), flags);
    mkdirat(s->results, "figures", 0777);
    s->folder = openat(s->results, "figures", flags);
    fuzz_demand(s->folder >= 0, "a folder can be made");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct sheet sheet;
    if (sheet.results == 0)
        make_folders(&sheet);
    fuzz_write(tables[0], data, size);
    for (size_t i = 1; i < sizeof tables / sizeof tables[0]; i++)
        if (linkat(sheet.results, tables[0], sheet.results, tables[i], 0) != 0)
            fuzz_demand(faccessat(sheet.results, tables[i], F_OK, 0) == 0, "a file has many names");
    read_all(sheet.results);
    for (const struct figure *f = figure_list; f->name; f++) {
        sheet.figure = f->name;
        sheet.failed = false;
        f->write(&sheet);
    }
    return 0;
}
