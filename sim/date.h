/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * date: dates of the calendar as text, all UTC: "2026-03-01", "2026-03-01T07:00", "...T07:00:30".
 */
#ifndef SIM_DATE_H
#define SIM_DATE_H

#include <stdbool.h>
#include <stddef.h>

/* Seconds since 1970-01-01T00:00:00.  False if text is no date that exists (31 February). */
bool date_parse(const char *text, double *seconds);

/* Whether text looks like a date at all (four digits and a hyphen). */
bool date_looks_like(const char *text);

/* Days since 1 January 00:00 of the year of a moment: 0 .. 366. */
double date_day_of_year(double seconds);

/* Writes "2026-03-01T07:00:30"; returns out. */
char *date_format(double seconds, char *out, size_t size);

#endif
