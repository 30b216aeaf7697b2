/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant: the whole line, from the supply to the served water.  Page: docs/plant.md.
 *
 * Four structs, four lifetimes: `plant` (parameters, constant during a run), `settings` (what is
 * discrete; changes only in a reaction to an event), `state` (what an accepted step and its parcel
 * change), `signals` (all that follows from the other three).
 *
 * Two functions touch physics: plant_evaluate moves water (rates for the integrator), plant_carry moves
 * what is in the water, one parcel at a time.
 */
#ifndef MODELS_PLANT_H
#define MODELS_PLANT_H

#include <stdbool.h>

#include "basin.h"
#include "bladder.h"
#include "feed.h"
#include "gas.h"
#include "shutoff.h"
#include "standard.h"
#include "stage.h"
#include "tank.h"
#include "valve.h"
#include "water.h"

/* ---- parameters ------------------------------------------------------------------------------ */

struct line {                   /* feed valve and product line */
    double supply_bore;         /* m, of the feed valve; an orifice */
    double tube_length;         /* m, product tube */
    double tube_bore;           /* m */
    double check_opening;       /* Pa lost in the check valve; 0 if there is none */
    double inlet_height;        /* m, tank inlet above the membrane */
};

/* Low pressure switch on the feed, so that a pump does not run dry.  It stands in front of the booster,
 * else of the membrane, else of the train, and before the feed solenoid. */
struct inlet_switch {
    double trips, clears;       /* Pa: falling and rising */
    double delay;               /* s that it must show low while the feed is open */
    double wait;                /* s from a trip to the next try, if it does not latch */
    bool latches;
};

struct fill {                   /* what stops the water */
    bool switches;              /* low and high level switch on a feed solenoid */
    double on_at, off_at;       /* m, tank levels at which they call and stop */
    bool float_valve;           /* on the product, in the tank */
    struct float_valve valve;
    double stiction;            /* share of its band by which it sticks shut before it opens again */
    bool shutoff_valve;         /* closes the feed by the pressure on the product side */
    struct shutoff shutoff;
    bool high_switch;           /* independent, above off_at; shuts the solenoid */
    double high_at;             /* m */
    bool run_timer;             /* longest run; keeps its count through a power cut, */
    bool timer_restarts;        /* or begins anew after each */
    double longest_run;         /* s */
    bool leak_sensor;           /* shuts the solenoid */
    double leak_volume;         /* m3 of spilled water that it needs to trip */
    bool drip_pan;
    double pan_volume;          /* m3 that stays off the floor */
    bool keeps_call;            /* after a power cut a tank between its switches goes on filling */
    double switch_band;         /* m, hysteresis of a single switch */
    /* a trip latches until reset, or it is over when its cause has gone */
    bool high_latches, leak_latches, timer_latches;
    bool low_pressure_switch;
    struct inlet_switch inlet;
    bool guard_valve;           /* high switch and leak sensor shut a valve of their own, not the solenoid */
};

enum topoff_kind { TOPOFF_NONE, TOPOFF_PUMP, TOPOFF_FLOAT };

struct topoff {
    enum topoff_kind kind;
    double flow;                /* m3/s of its pump */
    double on_below;            /* m below the working level at which it starts */
    double off_above;           /* m above the starting level at which it stops */
    double longest_run;         /* s; INFINITY if there is no limit.  It latches. */
    double power;               /* W */
    double band;                /* m over which a gravity float opens fully; `flow` is then its most */
    bool latches;               /* its longest run until reset, else until it is full */
    double hose_end;            /* m above the floor of the tank: where the pump's hose ends; NAN: it
                                   never runs by itself */
    double hose_bore;           /* m */
    double hose_length;         /* m */
    bool siphon_break;          /* air gets into the hose when the pump stops */
    double high_at;             /* m above the working level: a second switch there cuts the pump's own
                                   power while it is wet; NAN: none */
};

enum rinse_water { RINSE_FEED, RINSE_PERMEATE };

struct rinse {                  /* of the membrane's feed side, with the drain wide open */
    double at_start, at_stop;   /* s; 0: none */
    double every, every_for;    /* s of making water between rinses (INFINITY: none), s of each */
    double bypass;              /* the drain passes so many times as much */
    double divert;              /* s: the first product goes to the drain behind the membrane */
    double divert_below;        /* kg/m3: until its reading is below this; NAN: by time alone */
    int with;                   /* enum rinse_water, of the rinse at stop */
    double flow;                /* m3/s of stored product that its pump pushes through */
};

struct plant {
    struct feed feed;
    int stages;
    struct stage train[STAGES_MAX];
    int membrane;               /* its place in the train, or -1 */
    struct line line;
    struct fill fill;
    struct tank tank;
    double tank_temperature;    /* degC, of the room */
    double tank_start;          /* m, level at t = 0 */
    bool has_basin;
    struct basin basin;
    struct topoff topoff;
    struct rinse rinse;
    bool open_to_air;           /* tank and served water exchange CO2 with the air */
    struct gas gas;
    struct meter meter;         /* the pocket meter */
    double solenoid_power;      /* W while open */
    double parcel_scale;        /* 1; a convergence test halves it */
    bool has_bladder;           /* a bladder tank right behind the membrane and its check valve */
    struct bladder bladder;
    bool water_only;            /* follows the water and the salt of the served water, no other solute: beds
                                 * stay as they are.  For campaigns over many cases. */
};

/* ---- settings -------------------------------------------------------------------------------- */

/* Health of each part: what a fault changes.  WORKS or a value named beside the field. */
#define WORKS (-1.0)

struct health {
    double solenoid;            /* WORKS, or the opening at which it sticks, 0..1 */
    double solenoid_weep;       /* opening when shut, 0 if sound */
    double float_valve;         /* WORKS, or the opening at which it sticks */
    double float_weep;          /* opening when shut */
    double low_switch;          /* WORKS, or what it shows for ever: 0 dry, 1 wet */
    double high_switch;         /* of the pair of level switches; the same */
    double guard_switch;        /* the independent high switch; the same */
    double topoff_switch;       /* the same */
    double leak_sensor;         /* the same */
    double run_timer;           /* WORKS, or 0: never ends a run */
    double booster;             /* WORKS, or 0 dead */
    double topoff_pump;         /* WORKS, 0 dead, 1 runs whenever there is power; of a gravity float
                                   how far open it sticks */
    double controller;          /* WORKS, or hangs with its outputs 0 off, 1 on */
    double shutoff_valve;       /* WORKS, or 0: never closes */
    double check_valve;         /* WORKS, or the flow that leaks back at 1 bar [m3/s] */
    double overflow_open;       /* share of the overflow's bore that is free, 1 sound */
    double drain_open;          /* share of the restrictor that is free, 1 sound */
    double inlet_switch;        /* of low pressure: WORKS, or 0 shows low, 1 never trips */
    double bladder;             /* WORKS, or 0: waterlogged, it neither takes nor gives */
    double bladder_air;         /* share of its precharge that is left, 1 sound */
    double siphon_break;        /* WORKS, or 0: blocked */
    double surge;               /* share by which the supply's pressure is raised, 0 sound */
    double guard_valve;         /* WORKS, or the opening at which it sticks */
    double topoff_high;         /* second switch of the top-off: WORKS, or what it shows for ever */
    double hand_valve;          /* WORKS, or 0: left shut after work on the line */
};

struct settings {
    bool power;                 /* mains */
    double supply;              /* factor on the supply pressure: 1, or 0 cut off */
    bool hand_valve;            /* on the feed, open */
    bool call;                  /* the controller calls for water */
    bool trip;                  /* a protection has shut the solenoid */
    bool guard_trip;            /* one with a valve of its own has shut that */
    bool topoff_call;
    bool topoff_trip;
    bool tank_brim, basin_brim; /* water stands at the rim and runs over */
    bool tank_dry;              /* outlet uncovered */
    bool basin_wet;             /* served water from which more can dry up than comes in */
    bool overflow_running;      /* past the meniscus of its lip */
    bool overflow_settled;      /* and just passes on what comes in: the level stands */
    bool float_shut;            /* the float valve has stuck shut, until the level has fallen a little */
    bool rinsing;               /* the drain stands wide open */
    bool diverting;             /* the product goes to the drain behind the membrane */
    bool hold;                  /* the solenoid is held open for a rinse after the call has ended */
    double draw;                /* m3/s wanted from the tank */
    struct health health;
    bool rinse_pump;            /* stored product is pushed along the membrane to the drain */
    int flush;                  /* new part, behind which all water runs to the drain; -1: none */
    int inlet_trips;            /* how often the low pressure switch has tripped */
    bool bladder_holds;         /* there is water in the bladder; else the line goes past it */
    bool shutoff_shut;          /* the shut-off valve, where a bladder makes its cycles long */
    bool siphon;                /* the top-off's hose runs by itself */
    double diverted_since;      /* s, of the present or last diverting */
    bool topoff_cut;            /* its second switch has cut the power of the top-off pump */
};

/* ---- state ----------------------------------------------------------------------------------- */

enum {                          /* what the integrator steps; volumes in m3 */
    X_TANK, X_BASIN,
    X_FEED,                     /* from here on totals since the start */
    X_DRAIN, X_PRODUCT, X_OVERFLOW, X_SPILL, X_TOPOFF, X_DRAWN, X_UNMET, X_EVAPORATED,
    X_BASIN_SPILL,
    X_DIVERTED,                 /* first product to the drain */
    X_STARTS,                   /* how often water began to be made */
    X_RUNNING,                  /* s with feed flowing */
    X_MAKING,                   /* s with product flowing */
    X_ENERGY,                   /* J of electricity */
    X_RINSED,                   /* stored product that rinsed the membrane, to the drain */
    X_FLUSHED,                  /* of the feed, what new parts were flushed with */
    X_BLADDER,                  /* m3 in the bladder: not a total */
    X_DELIVERED,                /* to the later stages and the tank; X_PRODUCT without a bladder */
    X_DELIVERING,               /* s during which it was */
    X_LEAKED,                   /* from the bladder back through the check valve, to the drain */
    X_TIME,                     /* s: the time itself, for guards whose level changes with it */
    X_COUNT
};

enum exit_kind { EXIT_DRAIN, EXIT_DIVERTED, EXIT_OVERFLOW, EXIT_SPILL, EXIT_DRAWN, EXIT_BASIN_SPILL, EXIT_AIR,
                 EXIT_CARTRIDGE, EXIT_COUNT };

extern const char *const exit_name[EXIT_COUNT];

/* What came in and went out, by species [mol, kg], kept apart from the integrator; compensated sums. */
struct account {
    double sum, rest;
};

struct ledger {
    struct account water_in, water_out[EXIT_COUNT];                 /* m3 */
    struct account in[SPECIES_COUNT], out[EXIT_COUNT][SPECIES_COUNT];
    struct account nitrogen;    /* mol of N to the air as N2 */
    struct account carbon;      /* mol of CO2 that came in from the air */
    double water_start, start[SPECIES_COUNT];                       /* held at the start */
};

void account_add(struct account *a, double amount);
double account_total(const struct account *a);

struct readings {               /* of the last parcel, NAN before the first; S/m at 25 degC */
    double feed, permeate, product;
    double product_ph;
    double product_silica;      /* mol/m3 */
    double product_carbon;      /* mol/m3 */
    double membrane_oxidant;    /* chlorine and chloramine at the membrane [mol/m3] */
    double permeate_c[SPECIES_COUNT];   /* last permeate (what the bed after it meets) */
    double product_c[SPECIES_COUNT];
    double behind[STAGES_MAX][SPECIES_COUNT];   /* each stage; NAN while no water has passed it new */
};

struct state {
    double t;                   /* s since the start */
    double x[X_COUNT];
    double opened;              /* s, when the present parcel began */
    double x_opened[X_COUNT];   /* x at that time */
    double flow_opened;         /* product flow then [m3/s] */
    double osmolarity;          /* of the water at the membrane's inlet [mol/m3] */
    double feed_limit;          /* m3 of feed at which the present parcel closes, and */
    double parcel_limit;        /* m3 of product */
    struct vessel tank, basin;
    struct readings readings;
    struct standard_point reference;    /* of the membrane when new, and */
    double reference_flow;      /* what it gave there [m3/s] */
    struct ledger ledger;
    union stage_state stage[STAGES_MAX];
    struct vessel bladder;
    double delivery_opened;     /* flow to the later stages when the present parcel began [m3/s] */
};

/* ---- signals --------------------------------------------------------------------------------- */

struct flow_inlet {
    double temperature;         /* degC of the feed */
    double supply;              /* Pa */
    double float_opening;       /* 0..1 of the float valve */
    bool bladder;               /* there is one that takes and gives water, */
    double vessel;              /* Pa of the water in it */
};

struct plant_flow {             /* of the line; means over the cycles where a shut-off valve makes them */
    double product, drain;      /* m3/s */
    double membrane_pressure, back_pressure; /* Pa */
    double booster_head;        /* Pa */
    double power;               /* W of the booster */
    double duty;                /* share of time that feed flows, 1 without cycles */
    double starts;              /* 1/s */
    double inlet_pressure;      /* Pa at the low pressure switch */
    double delivered;           /* m3/s to the later stages and the tank */
    double leak;                /* m3/s from the bladder back to the drain */
    double mouth;               /* Pa at the mouth of the bladder */
};

/* What the line was last evaluated for: with the same again its flows need not be sought again.
 * Two points, because a step of the integrator sees its end, its middle and its end again. */
enum { LINE_POINTS = 2 };

struct line_point {
    struct flow_inlet in;
    struct plant_flow flow;
};

struct line_memo {
    int known;                  /* how many points, the newest first */
    struct settings settings;   /* of all of them */
    struct line_point point[LINE_POINTS];
};

struct signals {
    double feed_temperature;    /* degC */
    double supply_pressure;     /* Pa at the inlet, after what events do to it */
    double membrane_pressure;   /* Pa at the membrane's inlet */
    double back_pressure;       /* Pa on the permeate */
    double feed_flow, drain_flow, product_flow;             /* m3/s; product: what is made */
    double tank_level;          /* m */
    double float_opening;
    double overflow_flow, spill_flow, topoff_flow, draw_flow;   /* m3/s */
    double evaporation;         /* m3/s */
    double basin_level;         /* m above its working level */
    double basin_spill_flow;    /* m3/s */
    double booster_head;        /* Pa */
    double power;               /* W of electricity */
    double duty;                /* share of time that a cycling shut-off valve stands open; else 1 */
    double starts;              /* 1/s, of a cycling shut-off valve */
    double divert_flow;         /* m3/s */
    double rinse_flow;          /* m3/s of stored product along the membrane to the drain */
    double inlet_pressure;      /* Pa at the low pressure switch; what stands there while nothing flows */
    double delivery_flow;       /* m3/s to the later stages and the tank */
    double leak_flow;           /* m3/s from the bladder back to the drain; part of drain_flow */
    double bladder_pressure;    /* Pa, of the water in it; NAN without one */
    struct line_memo line;      /* last: no signal, but how they were found */
};

/* ---- functions ------------------------------------------------------------------------------- */

/* Defaults that are sound: everything works, nothing called. */
void settings_init(struct settings *s);

/* State at t = 0: fresh cartridges, tank at tank_start with pure water, basin at its working level. */
void plant_start(const struct plant *p, struct state *s);

/* Fills signals and rates dx[X_COUNT] at time t and state x.  Reads the beds of `state` (for their
 * pressure drop and osmolarity), never its x.  Defined a little outside the physical range. */
void plant_evaluate(const struct plant *p, const struct settings *set, const struct state *state,
                    double t, const double x[], struct signals *sig, double dx[]);

/* The same where sig is that of an earlier call with these beds: flows of the line that were found for
 * the same conditions are taken from there. */
void plant_evaluate_again(const struct plant *p, const struct settings *set,
                          const struct state *state, double t, const double x[],
                          struct signals *sig, double dx[]);

/* Whether the overflow pipe has settled to what comes in, or still has: within a thousandth to settle,
 * within a fiftieth to stay so.  The level's error is that of the head at such a change of flow. */
bool plant_overflow_settled(const struct plant *p, const struct settings *set,
                            const struct signals *sig);

/* Carries the water that moved since the parcel opened through the line and opens a new parcel.
 * Every species is conserved to rounding, reactions included. */
void plant_carry(const struct plant *p, const struct settings *set, struct state *s);

/* Seconds until the present parcel is due to close, at the flows of `sig`; 0 if it is, INFINITY if it never will be. */
double plant_parcel_left(const struct plant *p, const struct settings *set, const struct state *s,
                         const struct signals *sig);

/* Whether the present parcel is due to close: at a limit, or because a flow has changed by much. */
bool plant_parcel_due(const struct plant *p, const struct settings *set, const struct state *s,
                      const struct signals *sig);

/* Puts a fresh cartridge in place of a stage; what the old one held leaves the plant. */
void plant_replace(const struct plant *p, struct state *s, int stage);

/* Notes the point at which a new membrane gives what it gives; at the start and after a new one. */
void plant_set_reference(const struct plant *p, struct state *s);

/* Pressures along the line while water flows [Pa gauge]. */
struct plant_pressures {
    double before[STAGES_MAX + 1];  /* in front of each stage; then in front of the line to the tank */
    double concentrate;         /* at the end of the membrane's feed channel; NAN without a membrane */
    double check, height, tube, valve; /* lost in the line to the tank: check valve, rise, tube, float valve */
};

/* The pressures that belong to the flows of `sig`, which was evaluated for the same plant, settings and
 * beds; without a flow those that stand there.  With a shut-off valve that cycles: while it is open, but
 * behind the membrane at the mean flow. */
void plant_pressures(const struct plant *p, const struct settings *set, const struct state *state,
                     const struct signals *sig, struct plant_pressures *out);

/* A minute of steady production, stage by stage. */
struct plant_trace {
    struct signals signals;
    struct plant_pressures pressure;
    struct parcel water[STAGES_MAX + 1];    /* in front of each stage, then what goes to the tank */
    struct parcel drain;        /* concentrate; volume 0 without a membrane */
    double nitrogen[STAGES_MAX];            /* mol of N that left as N2 in each stage */
};

/* Follows it with the beds of `s` into an empty tank, past whatever water stands in the membrane and
 * without what would settle on it in that minute; with a shut-off valve that cycles, a minute of its
 * being open.  `work` is overwritten: the state after it.  False if no water is made; then the signals
 * alone are filled. */
bool plant_trace(const struct plant *p, const struct settings *set, const struct state *s,
                 struct state *work, struct plant_trace *out);

/* What the plant would do now if it filled its tank freely. */
struct signals plant_filling(const struct plant *p, const struct state *s);

/* Standardised flow of the membrane as a share of what it gave when new (ASTM D4516 practice, with wall
 * concentrations: docs/standard.md); NAN without a membrane or without pressure. */
double plant_standard_flow(const struct plant *p, const struct state *s);

/* Salt passage brought to the same conditions, as a factor on the new one's. */
double plant_standard_passage(const struct plant *p, const struct state *s);

/* Amount of a species held in beds, bladder, tank and basin [mol, kg]; water held [m3]. */
double plant_held(const struct plant *p, const struct state *s, enum species i);
double plant_water_held(const struct state *s);

/* Of all that was spilled [m3], what lies on the floor: the drip pan under the tank keeps its volume. */
double plant_on_floor(const struct plant *p, const double x[]);

/* Whether a new part is flushed in front of the membrane, through an open end. */
bool plant_flushes_feed(const struct plant *p, const struct settings *set);

/* The stage behind which the product runs to the drain instead of to the tank, or -1. */
int plant_diverts_behind(const struct plant *p, const struct settings *set);
/* The bladder at a time, as age and faults have left it. */
struct bladder plant_bladder(const struct plant *p, const struct settings *set, double t);

/* Whether there is a bladder that takes and gives water. */
bool plant_has_bladder(const struct plant *p, const struct settings *set);

/* Where a shut-off valve on a bladder stands between reopening, 0, and closing, 1. */
double plant_shutoff_level(const struct plant *p, const struct settings *set, const double x[]);

/* Whether the hand valve in the feed lets water through. */
bool plant_hand_open(const struct settings *set);

/* Whether the top-off pump runs. */
bool plant_topoff_runs(const struct plant *p, const struct settings *set);

/* What the hose of the top-off pump would pass by itself at a level of the tank [m3/s]. */
double plant_siphon_flow(const struct plant *p, double level);

/* Opening 0..1 of the feed solenoid; 1 when the plant has none and the supply is open. */
double plant_feed_opening(const struct plant *p, const struct settings *set);

bool plant_has_solenoid(const struct plant *p);

/* The stage in front of which a low pressure switch stands: the booster, else the membrane, else the
 * first. */
int plant_inlet_place(const struct plant *p);

/* Whether the feed solenoid gets power: called for or held open by a person, not tripped, mains on; a
 * hung controller counts. */
bool plant_solenoid_energised(const struct settings *set);

/* Whether the booster runs. */
bool plant_boosted(const struct plant *p, const struct settings *set);

/* Faults: every named way in which a part can fail. */
struct fault_mode {
    const char *part, *mode;    /* "float valve", "sticks open" */
    size_t offset;              /* of a double in struct settings */
    double value;               /* put there; NAN: the amount that the scenario gives */
    double sound;               /* the value when mended */
    double preset;              /* amount if none is given */
};

extern const struct fault_mode fault_modes[]; /* ended by a row whose part is NULL */

/* Whether the plant has the part that the mode concerns. */
bool fault_applies(const struct plant *p, const struct fault_mode *m);

#endif
