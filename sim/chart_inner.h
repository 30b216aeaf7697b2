/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * chart_inner: what the files of the chart share.  Page: docs/show.md.
 */
#ifndef SIM_CHART_INNER_H
#define SIM_CHART_INNER_H

#include "chart.h"

enum { CHART_MARGIN = 9, CHART_WIDE = 69 };

/* A bar a row, of a file without an axis. */
enum status chart_bars(const struct series *s, const struct series_pick *pick, FILE *out);

/* Marks the events between the ends, if the axis is that of days, and lists them if they are few. */
enum status chart_events(const struct series *s, const char *axis, const double ends[2], FILE *out);

#endif
