/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * water_cvode RESOLVED.cfg [RTOL [STRIPS]]: the water part of a scenario once more, as ordinary
 * differential equations solved by CVODE of SUNDIALS (Adams, variable order), the levels of the
 * switches found by its own root finding.  Equations: docs/plant.md, docs/control.md.  Prints lines
 *     event SECONDS NAME       row SECONDS TANK_M SERVED_M       total NAME SI
 */
#include "peer.h"

#include <cvode/cvode.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sunnonlinsol/sunnonlinsol_fixedpoint.h>
#include <time.h>

enum {
    TANK,
    SERVED,
    FEED,
    DRAIN,
    PRODUCT,
    VAPOUR,
    TOPPED,
    DIVERTED,
    DIRT,
    DRAWN,
    MAKING,
    ENERGY,
    STATES
};
enum { START, STOP, TOPOFF, FLOAT, OUTLET, SWITCHES };

static const char *const total_name[STATES] = {
    "tank_end",   "served_end", "feed",     "drain", "product_and_diverted",
    "evaporated", "topped_off", "diverted", "dirt",  "drawn",
    "making",     "energy"
};

/* A switch with two levels: wet from `rises` on, dry from `falls` on. */
struct gauge {
    bool there, wet, of_served;
    double rises, falls; /* m */
};

struct world {
    struct peer p;
    struct peer_mode mode;
    struct gauge gauge[SWITCHES];
    double guess, looked, flush_left, draw_end[PEER_DRAWS]; /* s */
    long draw_next[PEER_DRAWS];
    int event_next;
    double row_next;
    long calls, steps, fills, topoffs;
};

static double level_of(const struct world *w, const double *y, bool of_served)
{
    return of_served ? (y[SERVED] - w->p.volume) / w->p.surface : y[TANK] / w->p.tank_area;
}

static int rates(realtype t, N_Vector vector, N_Vector slope, void *of)
{
    struct world *w = of;
    const double *y = N_VGetArrayPointer(vector);
    double *dy = N_VGetArrayPointer(slope);
    w->calls++;
    const struct peer_flow q =
        peer_line(&w->p, &w->mode, t, (double[2]){ y[DIRT], level_of(w, y, false) }, &w->guess);
    const double vapour = peer_evaporation(&w->p, t);
    const bool pump = w->mode.topoff && w->mode.power;
    const double in = w->mode.flush ? 0.0 : q.product;
    const double wanted = w->mode.drawn + (pump ? w->p.topoff_flow : 0.0);
    const double share = w->gauge[OUTLET].wet || wanted <= in ? 1.0 : in / wanted;
    const double top = pump ? share * w->p.topoff_flow : 0.0, drawn = share * w->mode.drawn;
    const bool solenoid = w->p.switches && w->mode.power && (w->mode.call || w->mode.flush);
    dy[TANK] = in - top - drawn;
    dy[SERVED] = top - vapour;
    dy[FEED] = q.product + q.drain;
    dy[DRAIN] = q.drain;
    dy[PRODUCT] = q.product;
    dy[VAPOUR] = vapour;
    dy[TOPPED] = top;
    dy[DIVERTED] = q.product - in;
    dy[DIRT] = w->p.capture * w->p.solids * (q.product + q.drain);
    dy[DRAWN] = drawn;
    dy[MAKING] = q.product > 0.0 ? 1.0 : 0.0;
    dy[ENERGY] = (solenoid ? w->p.solenoid_power : 0.0) + (pump ? w->p.topoff_power : 0.0);
    return 0;
}

static double to_go(const struct world *w, int i, const double *y)
{
    const struct gauge *g = &w->gauge[i];
    return g->there ? level_of(w, y, g->of_served) - (g->wet ? g->falls : g->rises) : 1.0;
}

static int roots(realtype t, N_Vector vector, realtype *value, void *of)
{
    (void)t;
    for (int i = 0; i < SWITCHES; i++)
        value[i] = to_go(of, i, N_VGetArrayPointer(vector));
    return 0;
}

static void say(double t, const char *what)
{
    printf("event %.6f %s\n", t, what);
}

/* The controllers, docs/control.md; without power they do nothing. */
static void control(struct world *w, double t)
{
    struct peer_mode *m = &w->mode;
    if (!m->power)
        return;
    const bool call = !w->p.switches || (!w->gauge[STOP].wet && (m->call || !w->gauge[START].wet));
    if (call != m->call && w->p.switches) {
        say(t, call ? "fill starts" : "fill stops");
        w->fills += call;
    }
    m->call = call;
    const bool top = !w->gauge[TOPOFF].wet;
    if (top != m->topoff) {
        say(t, top ? "top-off" : "top-off ends");
        w->topoffs += top;
    }
    m->topoff = top;
}

static void act(struct world *w, const struct peer_event *e)
{
    switch (e->what) {
    case POWER_OFF:
    case POWER_ON:
        w->mode.power = e->what == POWER_ON;
        return;
    case SUPPLY_OFF:
    case SUPPLY_ON:
        w->mode.supply = e->what == SUPPLY_ON;
        return;
    case NEW_RESIN:
        if (w->p.resin_flush > 0.0) {
            w->mode.flush = true;
            w->flush_left = w->p.resin_flush;
        }
        return;
    }
}

/* The clock of a flush stands still while no water comes. */
static bool flushes(const struct world *w)
{
    return w->mode.flush && w->mode.power && w->mode.supply;
}

static void due(struct world *w, double t)
{
    w->flush_left -= flushes(w) ? t - w->looked : 0.0;
    w->looked = t;
    if (w->mode.flush && w->flush_left <= 1e-6)
        w->mode.flush = false;
    while (w->event_next < w->p.events && w->p.event[w->event_next].at <= t)
        act(w, &w->p.event[w->event_next++]);
    w->mode.drawn = 0.0;
    for (int i = 0; i < w->p.draws; i++) {
        const struct peer_draw *d = &w->p.draw[i];
        if (d->first + d->every * (double)w->draw_next[i] <= t)
            w->draw_end[i] = d->first + d->every * (double)w->draw_next[i]++ + d->lasts;
        if (w->draw_end[i] <= t)
            w->draw_end[i] = INFINITY;
        w->mode.drawn += w->draw_end[i] < INFINITY ? d->rate : 0.0;
    }
}

static double next_due(const struct world *w)
{
    double t = w->p.length;
    if (w->event_next < w->p.events)
        t = fmin(t, w->p.event[w->event_next].at);
    if (flushes(w))
        t = fmin(t, w->looked + w->flush_left);
    for (int i = 0; i < w->p.draws; i++) {
        const struct peer_draw *d = &w->p.draw[i];
        t = fmin(t, fmin(w->draw_end[i], d->first + d->every * (double)w->draw_next[i]));
    }
    return t;
}

static void begin(struct world *w, double *y)
{
    memset(y, 0, STATES * sizeof *y);
    y[TANK] = w->p.first * w->p.tank_area;
    y[SERVED] = w->p.volume;
    const double top = -w->p.topoff_below;
    w->gauge[START] =
        (struct gauge){ w->p.switches, true, false, w->p.on_level + w->p.band, w->p.on_level };
    w->gauge[STOP] =
        (struct gauge){ w->p.switches, false, false, w->p.off_level, w->p.off_level - w->p.band };
    w->gauge[TOPOFF] = (struct gauge){ true, true, true, top + w->p.topoff_band, top };
    const double stick = w->p.stiction * w->p.float_band; /* a fifth of it short of shut it seats */
    w->gauge[FLOAT] = (struct gauge){ w->p.floats, false, false, w->p.shuts_at - 0.2 * stick,
                                      w->p.shuts_at - 1.2 * stick };
    w->gauge[OUTLET] = (struct gauge){ true, true, false, w->p.outlet + 0.005, w->p.outlet };
    w->gauge[START].wet = w->p.first > w->p.on_level;
    w->gauge[STOP].wet = w->p.first > w->p.off_level - w->p.band;
    w->mode = (struct peer_mode){ .power = true, .supply = true, .call = !w->p.switches };
    for (int i = 0; i < PEER_DRAWS; i++)
        w->draw_end[i] = INFINITY;
}

static void must(int flag, const char *what)
{
    if (flag >= 0)
        return;
    fprintf(stderr, "water_cvode: %s: %d\n", what, flag);
    exit(70);
}

static void rows(struct world *w, void *cvode, double t, N_Vector scratch)
{
    for (; w->row_next <= t && w->row_next < w->p.length; w->row_next += w->p.every) {
        must(CVodeGetDky(cvode, w->row_next, 0, scratch), "CVodeGetDky");
        const double *z = N_VGetArrayPointer(scratch);
        printf("row %.3f %.9f %.9f\n", w->row_next, level_of(w, z, false), level_of(w, z, true));
    }
}

/* Outside of what is followed here: better no answer than a wrong one. */
static void within(const struct world *w, const double *y)
{
    const double h = level_of(w, y, false), served = level_of(w, y, true);
    if (h > 0.999 * w->p.outlet && h < w->p.lip && served < w->p.freeboard)
        return;
    fprintf(stderr, "water_cvode: a level left what is followed here: %g %g\n", h, served);
    exit(65);
}

static void follow(struct world *w, void *cvode, N_Vector y, N_Vector scratch)
{
    double t = 0.0;
    due(w, t);
    control(w, t);
    must(CVodeReInit(cvode, t, y), "CVodeReInit");
    printf("row 0 %.9f %.9f\n", w->p.first, 0.0);
    w->row_next = w->p.every;
    while (t < w->p.length) {
        const double stop = next_due(w);
        must(CVodeSetStopTime(cvode, stop), "CVodeSetStopTime");
        const int flag = CVode(cvode, stop, y, &t, CV_ONE_STEP);
        must(flag, "CVode");
        w->steps++;
        rows(w, cvode, t, scratch);
        within(w, N_VGetArrayPointer(y));
        if (flag != CV_ROOT_RETURN && t < stop)
            continue;
        int found[SWITCHES] = { 0 };
        if (flag == CV_ROOT_RETURN)
            must(CVodeGetRootInfo(cvode, found), "CVodeGetRootInfo");
        for (int i = 0; i < SWITCHES; i++)
            w->gauge[i].wet ^= found[i] != 0;
        w->mode.seated = w->gauge[FLOAT].wet;
        due(w, t);
        control(w, t);
        must(CVodeReInit(cvode, t, y), "CVodeReInit");
    }
}

static void *solver(SUNContext context, struct world *w, N_Vector y, double tolerance)
{
    void *cvode = CVodeCreate(CV_ADAMS, context);
    N_Vector absolute = N_VClone(y);
    /* Typical sizes: litres for volumes, kilograms for dirt, an hour, a kilowatt hour. */
    for (int i = 0; i < STATES; i++)
        N_VGetArrayPointer(absolute)[i] = tolerance * 0.1;
    N_VGetArrayPointer(absolute)[MAKING] = tolerance * 3600.0;
    N_VGetArrayPointer(absolute)[ENERGY] = tolerance * 3.6e6;
    must(CVodeInit(cvode, rates, 0.0, y), "CVodeInit");
    must(CVodeSVtolerances(cvode, tolerance, absolute), "CVodeSVtolerances");
    must(CVodeSetUserData(cvode, w), "CVodeSetUserData");
    must(CVodeSetNonlinearSolver(cvode, SUNNonlinSol_FixedPoint(y, 0, context)), "fixed point");
    must(CVodeRootInit(cvode, SWITCHES, roots), "CVodeRootInit");
    must(CVodeSetMaxStep(cvode, 14400.0), "CVodeSetMaxStep");
    N_VDestroy(absolute);
    return cvode;
}

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

int main(int argc, char *argv[])
{
    if (argc < 2 || argc > 4)
        return fprintf(stderr, "usage: water_cvode RESOLVED.cfg [RTOL [STRIPS]]\n"), 64;
    static struct world w;
    peer_read(argv[1], &w.p);
    const double tolerance = argc > 2 ? strtod(argv[2], NULL) : 1e-10;
    if (argc > 3)
        w.p.ro.strips = atoi(argv[3]);
    SUNContext context;
    must(SUNContext_Create(NULL, &context), "SUNContext_Create");
    N_Vector y = N_VNew_Serial(STATES, context), scratch = N_VClone(y);
    begin(&w, N_VGetArrayPointer(y));
    void *cvode = solver(context, &w, y, tolerance);
    const double start = now();
    follow(&w, cvode, y, scratch);
    const double took = now() - start;
    for (int i = 0; i < STATES; i++)
        printf("total %s %.12g\n", total_name[i], N_VGetArrayPointer(y)[i]);
    printf("total fills %ld\ntotal topoffs %ld\n", w.fills, w.topoffs);
    printf("cost %.4f s %ld steps %ld calls\n", took, w.steps, w.calls);
    return 0;
}
