/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * date: dates of the calendar as text, all UTC; Gregorian rules.
 */
#include "date.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define DAY 86400.0

struct day {
    long year, month, day;
};

/* Days from 1970-01-01; years begin in March, so that the leap day is the last. */
static long days_from(struct day d)
{
    const long y = d.year - (d.month <= 2), era = (y >= 0 ? y : y - 399) / 400;
    const long of_era = y - era * 400, shifted = (d.month + 9) % 12;
    const long of_year = (153 * shifted + 2) / 5 + d.day - 1;
    return era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468;
}

static struct day day_from(long days)
{
    const long z = days + 719468, era = (z >= 0 ? z : z - 146096) / 146097;
    const long of_era = z - era * 146097;
    const long year = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
    const long of_year = of_era - (365 * year + year / 4 - year / 100);
    const long shifted = (5 * of_year + 2) / 153;
    const struct day d = { .month = shifted < 10 ? shifted + 3 : shifted - 9,
                           .day = of_year - (153 * shifted + 2) / 5 + 1,
                           .year = year + era * 400 + (shifted >= 10) };
    return d;
}

/* Exactly n digits at *text, which moves on. */
static bool digits(const char **text, int n, long *out)
{
    *out = 0;
    for (int i = 0; i < n; i++, (*text)++) {
        if (!isdigit((unsigned char)**text))
            return false;
        *out = 10 * *out + (**text - '0');
    }
    return true;
}

static bool skip(const char **text, char c)
{
    return **text == c && (*text)++ != NULL;
}

bool date_looks_like(const char *text)
{
    long year;
    return digits(&text, 4, &year) && *text == '-';
}

bool date_parse(const char *text, double *seconds)
{
    struct day d;
    long hour = 0, minute = 0, second = 0;
    if (!digits(&text, 4, &d.year) || !skip(&text, '-') || !digits(&text, 2, &d.month) ||
        !skip(&text, '-') || !digits(&text, 2, &d.day) || d.month < 1 || d.month > 12)
        return false;
    const bool timed = skip(&text, 'T');
    if (timed && (!digits(&text, 2, &hour) || !skip(&text, ':') || !digits(&text, 2, &minute)))
        return false;
    if (timed && skip(&text, ':') && !digits(&text, 2, &second))
        return false;
    skip(&text, 'Z');
    const long days = days_from(d);
    const struct day back = day_from(days);
    if (*text != '\0' || back.year != d.year || back.month != d.month || back.day != d.day ||
        hour > 23 || minute > 59 || second > 59)
        return false;
    *seconds = (double)days * DAY + (double)(3600 * hour + 60 * minute + second);
    return true;
}

double date_day_of_year(double seconds)
{
    const double days = floor(seconds / DAY);
    const struct day first = { day_from((long)days).year, 1, 1 };
    return days - (double)days_from(first) + (seconds - days * DAY) / DAY;
}

char *date_format(double seconds, char *out, size_t size)
{
    const double days = floor(seconds / DAY);
    const struct day d = day_from((long)days);
    const long rest = (long)(seconds - days * DAY);
    snprintf(out, size, "%04ld-%02ld-%02ldT%02ld:%02ld:%02ld", d.year, d.month, d.day, rest / 3600,
             rest / 60 % 60, rest % 60);
    return out;
}
