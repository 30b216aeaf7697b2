/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_explain: the worksheet of the whole line: the parts from the supply to the tank, then the
 * water behind each.  Pages: docs/plant.md, docs/valve.md.
 */
#include "along_explain.h"

#include <math.h>
#include <string.h>

#include "screen.h"
#include "text.h"

static const double GRAVITY = 9.80665;   /* m/s2, as in models/plant.c */
static const double RE_LAMINAR = 2300.0; /* as in models/valve.c */

/* ---- both ends of the line --------------------------------------------------------------------
 */

static void explain_valve(const struct along_told *t)
{
    struct explain *e = t->e;
    const struct plant *p = &t->a->plant;
    const struct plant_trace *r = &t->look->trace;
    explain_title(e, "FEED VALVE", "");
    explain_given(e, "ps", r->signals.supply_pressure, "Pa");
    explain_given(e, "Q", r->water[0].volume / r->water[0].duration, "m3/s");
    explain_given(e, "Cd", 0.62, "");
    explain_given(e, "d", p->line.supply_bore, "m");
    explain_given(e, "y", plant_feed_opening(p, &t->look->settings), "");
    explain_line(e, &(struct explain_line){ "pressure behind it, an orifice", "p0",
                                            "ps - rho/2*(Q/(Cd*(pi/4)*d^2*y))^2", "Pa", "plant",
                                            r->pressure.before[0] });
}

static void explain_tube(const struct along_told *t)
{
    struct explain *e = t->e;
    const struct plant *p = &t->a->plant;
    const double lost = t->look->trace.pressure.tube;
    explain_given(e, "L", p->line.tube_length, "m");
    explain_given(e, "D", p->line.tube_bore, "m");
    explain_line(e, &(struct explain_line){ "speed in the tube", "v", "Q/((pi/4)*D^2)", "m/s",
                                            "valve", NAN });
    const double re = explain_line(
        e, &(struct explain_line){ "Reynolds number", "Re", "rho*v*D/mu", "", "valve", NAN });
    explain_given(e, "e", 1.5e-6 / p->line.tube_bore, "");
    if (re <= RE_LAMINAR) {
        explain_line(e,
                     &(struct explain_line){ "friction, laminar", "f", "64/Re", "", "valve", NAN });
    } else {
        explain_line(e, &(struct explain_line){ "friction, turbulent, from Re 4000", "ft",
                                                "0.25/log10(e/3.7 + 5.74/max(Re, 4000)^0.9)^2", "",
                                                "valve", NAN });
        explain_line(e, &(struct explain_line){
                            "friction; between Re 2300 and 4000 the loss is linear in Re", "f",
                            "64/Re^2*(2300 + min((Re - 2300)/1700, 1) * (ft*max(Re, 4000)^2/64 - "
                            "2300))",
                            "", "valve", NAN });
    }
    explain_line(e, &(struct explain_line){ "pressure lost in the tube", "dp_tube",
                                            "f*(L/D)*rho*v^2/2", "Pa", "valve", lost });
}

static void explain_line_to_tank(const struct along_told *t)
{
    struct explain *e = t->e;
    const struct plant *p = &t->a->plant;
    const struct plant_trace *r = &t->look->trace;
    const struct plant_pressures *at = &r->pressure;
    const struct parcel *w = &r->water[p->stages];
    const int opened = explain_open(e);
    explain_title(e, "LINE TO THE TANK", "");
    explain_given(e, "Q",
                  r->signals.starts > 0.0 ? r->signals.product_flow : w->volume / w->duration,
                  "m3/s");
    explain_tube(t);
    explain_given(e, "dp_float", 0.0, "Pa");
    if (p->fill.float_valve) {
        explain_given(e, "Cd", 0.62, "");
        explain_given(e, "seat", p->fill.valve.seat, "m");
        explain_given(e, "x", r->signals.float_opening, "");
        explain_line(e, &(struct explain_line){ "pressure lost in the float valve", "dp_float",
                                                "rho/2*(Q/(Cd*x*(pi/4)*seat^2))^2", "Pa", "valve",
                                                at->valve });
    }
    explain_given(e, "p_check", at->check, "Pa");
    explain_given(e, "g", GRAVITY, "m/s2");
    explain_given(e, "h", p->line.inlet_height, "m");
    explain_line(e, &(struct explain_line){ "pressure in front of it", "pb",
                                            "p_check + rho*g*h + dp_tube + dp_float", "Pa", "plant",
                                            at->check + at->height + at->tube + at->valve });
    explain_close(e, opened);
}

/* ---- the water behind each part ---------------------------------------------------------------
 */

static bool is_told(const struct along_point *p)
{
    return along_changes(p) &&
           (p->kind != ALONG_STAGE ||
            memcmp(p->came->c, p->water->c, EXCHANGED_COUNT * sizeof p->water->c[0]) != 0);
}

static void explain_waters(const struct along_told *t)
{
    struct explain *e = t->e;
    const int opened = explain_open(e);
    explain_title(e, "ACIDS AT 25 DEGC", "Constants at no ionic strength, log10 of mol/L.");
    along_explain_acids(e, 25.0);
    for (int i = 0; i < t->look->points; i++) {
        const struct along_point *p = &t->look->point[i];
        char title[SCREEN_CELL + 32], name[4 * SCREEN_CELL];
        if (!is_told(p))
            continue;
        const int inner = explain_open(e);
        snprintf(title, sizeof title, "WATER BEHIND %.*s AT 25 DEGC", SCREEN_CELL,
                 text_escape(p->name, name, sizeof name));
        explain_title(e, title, "h = [H+] is sought until both sums of charge agree.");
        along_explain_forms(e, p->water->c, 25.0);
        along_explain_meter(t, p);
        explain_close(e, inner);
    }
    explain_close(e, opened);
}

/* ---- all of it --------------------------------------------------------------------------------
 */

static void explain_look(const struct along_told *t, int n)
{
    struct explain *e = t->e;
    char when[SCREEN_CELL], title[SCREEN_CELL + 32];
    const int opened = explain_open(e);
    snprintf(title, sizeof title, "EVERY NUMBER, %s", along_when(t->a, n, when, sizeof when));
    explain_chapter(
        e, title,
        "SI units: m, s, Pa (gauge), mol/m3. Results have six digits, numbers are put in with "
        "as many as that takes; later lines go on with the result as it was before rounding. "
        "The table has mg/L: mol/m3 times the molar mass in g/mol (docs/species.md); "
        "meq/L: mol/m3 times the charge; taken out: 100 (1 - behind/in front).");
    explain_title(e, "WATER OF THE FEED", "");
    along_explain_water(e, t->look->trace.signals.feed_temperature);
    explain_valve(t);
    for (int k = 0; k < t->a->plant.stages; k++) {
        const int inner = explain_open(e);
        if (k == t->a->plant.membrane)
            along_explain_membrane(t);
        else
            along_explain_beds(t, k);
        explain_close(e, inner);
    }
    explain_line_to_tank(t);
    explain_waters(t);
    explain_close(e, opened);
}

void along_explain(const struct along *a, struct explain *e, const char *only, FILE *out)
{
    explain_begin(e, only, out);
    for (int n = 0; n < a->looks; n++) {
        const struct along_told t = { e, a, a->look[n] };
        explain_look(&t, n);
    }
}
