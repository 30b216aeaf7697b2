/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A second solution of the water part of a scenario: what the pages docs/ say, written down once
 * more by another route.  Nothing here is shared with models/ and sim/: no header, no function, no
 * number.  The scenario is read from scenario.resolved.cfg of a run.  SI units, degC, gauge
 * pressures.  Known: a train of sediment, carbon, membrane, resin; level switches or a float
 * valve; a top-off pump; draws; cuts; a resin that is replaced.  Anything else is refused.
 */
#ifndef PEER_H
#define PEER_H

#include <stdbool.h>

enum { PEER_EVENTS = 64, PEER_DRAWS = 8, PEER_IONS = 9, OSMO_ROWS = 121 };

struct peer_cycle {
    double mean, season, peak_day, daily, peak_hour;
};

enum peer_what { POWER_OFF, POWER_ON, SUPPLY_OFF, SUPPLY_ON, NEW_RESIN };

struct peer_event {
    double at; /* s */
    enum peer_what what;
};

struct peer_draw {
    double every, first, lasts, rate; /* s, s, s, m3/s */
};

struct peer_membrane {
    double A, B, leak, U, U_cold, Us;              /* m/(s Pa), m/s, -, K, K, K */
    double area, path, spacer, porosity, film;     /* m2, m, m, -, - */
    double drain, drain_at, drain_n, drain_p;      /* m3/s, Pa, -, - */
    int strips;                                    /* of the channel, for the integration */
};

struct peer {
    double start_day;
    struct peer_cycle temperature, pressure, water, air, humidity, draught;
    double solids;                                 /* kg/m3 */
    double valve_bore, sediment_a, capture, capacity, carbon_a;
    struct peer_membrane ro;
    double depth, bed, bead, eps;                  /* of the resin: m, m3, m, - */
    double tube_length, tube_bore, check_opening, inlet;
    double strong, carbon, silica, ions;           /* mol/m3: charge, totals, ions of strong ones */
    double osmolarity[OSMO_ROWS];                  /* mol/m3 at 0, 0.5, ... 60 degC */
    bool switches, floats;
    double tank_area, first, on_level, off_level, band, shuts_at, float_band, seat, stiction;
    double outlet, lip;
    double surface, open_surface, volume, calibration, freeboard;
    double topoff_flow, topoff_below, topoff_band;
    double solenoid_power, topoff_power;
    double resin_flush;                            /* s */
    struct peer_event event[PEER_EVENTS];
    int events;
    struct peer_draw draw[PEER_DRAWS];
    int draws;
    double length, every;
};

/* What stands still between two events. */
struct peer_mode {
    bool power, supply, call, flush, topoff, seated;
    double drawn; /* m3/s */
};

/* The flows of the line [m3/s]. */
struct peer_flow {
    double product, drain;
};

double peer_cycle_at(const struct peer_cycle *c, double start_day, double t);

/* docs/water.md */
double peer_density(double celsius);
double peer_viscosity(double celsius);
double peer_vapour(double celsius);
void peer_osmolarities(struct peer *p);
double peer_osmolarity(const struct peer *p, double celsius);

/* docs/basin.md: m3/s */
double peer_evaporation(const struct peer *p, double t);

/* docs/membrane.md: what a membrane makes of a feed flow [m3/s] at pressures [Pa]. */
double peer_membrane_product(const struct peer *p, double celsius, double feed,
                             const double pressure[2]);

/* docs/plant.md: the operating point.  guess is the feed flow sought last, 0 if none; held: solids in the
 * cartridge [kg]; level of the tank [m]. */
struct peer_flow peer_line(const struct peer *p, const struct peer_mode *m, double t,
                           const double held_level[2], double *guess);
double peer_float_opening(const struct peer *p, double level);

/* Reads a resolved scenario; ends the program with words if it cannot. */
void peer_read(const char *file, struct peer *p);

#endif
