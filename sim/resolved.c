/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * resolved: writes a scenario with everything said, in SI.
 */
#include "resolved.h"

#include <stdlib.h>

#include "memory.h"
#include "scenario_inner.h"

void resolved_write(const struct scenario *s, FILE *out)
{
    fputs("// Everything said, in SI units: running this gives the same results to the last bit.\n",
          out);
    writer_text(out, "title", s->plan.title);
    scenario_feed_write(s, out);
    scenario_train_write(s, out);
    scenario_storage_write(s, out);
    scenario_served_write(s, out);
    scenario_control_write(s, out);
    scenario_events_write(s, out);
    scenario_plan_write(s, out);
    scenario_upkeep_write(s, out);
    scenario_risk_write(s, out);
}

void resolved_write_log(const struct feed_log *log, FILE *out)
{
    fprintf(out, "time_s%s%s%s\n", log->temperature ? ",temperature_degC" : "",
            log->pressure ? ",pressure_Pa" : "", log->strength ? ",strength" : "");
    for (int i = 0; i < log->rows; i++) {
        fprintf(out, "%.17g", log->at[i]);
        if (log->temperature != NULL)
            fprintf(out, ",%.17g", log->temperature[i]);
        if (log->pressure != NULL)
            fprintf(out, ",%.17g", log->pressure[i]);
        if (log->strength != NULL)
            fprintf(out, ",%.17g", log->strength[i]);
        fputc('\n', out);
    }
}

enum status resolved_keep(const struct scenario *s, struct results *r)
{
    const struct feed_log *log = s->plant.feed.log;
    FILE *f = results_file(r, "scenario.resolved.cfg");
    FILE *readings = log ? results_file(r, RESOLVED_LOG) : NULL;
    if (!f || (log && !readings))
        return STATUS_IO;
    resolved_write(s, f);
    if (log)
        resolved_write_log(log, readings);
    return STATUS_OK;
}

enum status resolved_hash(const struct scenario *s, char out[HASH_TEXT])
{
    char *text = NULL;
    size_t size = 0;
    FILE *f = memory_stream(&text, &size);
    if (!f)
        return STATUS_MEMORY;
    resolved_write(s, f);
    if (s->plant.feed.log)
        resolved_write_log(s->plant.feed.log, f);
    bool fine = fflush(f) == 0 && !ferror(f);
    fine = fclose(f) == 0 && fine;
    if (fine)
        hash_bytes(text, size, out);
    free(text);
    return fine ? STATUS_OK : STATUS_MEMORY;
}
