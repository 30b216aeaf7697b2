/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * glance_stops: what stops the water, what tells which valve to shut, and what happens when one of
 * them fails.
 */
#include "glance_inner.h"

#include <stdio.h>
#include <string.h>

#include "amount.h"
#include "screen.h"
#include "text.h"

/* A weak supply that stands well and gives way as soon as water flows. */
static void tell_hunting(const struct inlet_switch *s, const struct sizing *z)
{
    char words[SCREEN_TEXT] = "";
    int low = 0, worst = 0;
    for (int i = 0; i < SIZING_CASES; i++) {
        low += z->point[i].signals.inlet_pressure <= s->trips;
        if (z->point[i].signals.inlet_pressure < z->point[worst].signals.inlet_pressure)
            worst = i;
    }
    if (low == 0)
        return;
    char stands[SCREEN_CELL], left[SCREEN_CELL];
    text_append(
        words, sizeof words, "of %s there %s are left when water flows; ",
        amount_words(AMOUNT_PRESSURE, 1e-3 * z->point[worst].pressure, 0, stands),
        amount_words(AMOUNT_PRESSURE, 1e-3 * z->point[worst].signals.inlet_pressure, 0, left));
    text_append(words, sizeof words, "%s",
                s->latches ? "the first of these latches it."
                           : "it starts, trips, waits and starts again.");
    glance_item(low == SIZING_CASES ? "IT TRIPS AT EVERY START: "
                                    : "IT TRIPS WHERE THE SUPPLY IS LOW: ",
                words);
}

static void tell_low_pressure(const struct plant *p, const struct sizing *z)
{
    const struct inlet_switch *s = &p->fill.inlet;
    const int place = plant_inlet_place(p);
    if (!p->fill.low_pressure_switch)
        return;
    char trips[SCREEN_CELL], words[SCREEN_TEXT] = "";
    text_append(words, sizeof words, "at the %s shuts the feed under %s.",
                p->train[place].kind->title,
                amount_words(AMOUNT_PRESSURE, 1e-3 * s->trips, 0, trips));
    glance_item("A low pressure switch ", words);
    tell_hunting(s, z);
}

/* What tells the one feed solenoid to shut, each on its line; returns how many do. */
static int tell_solenoid(const struct fill *f)
{
    char cell[SCREEN_CELL], from[SCREEN_CELL];
    if (f->switches)
        printf("  Level switches: the tank fills from %s to %s, by a feed solenoid.\n",
               amount_bare(AMOUNT_LEVEL, 100.0 * f->on_at, 1, from),
               amount_words(AMOUNT_LEVEL, 100.0 * f->off_at, 1, cell));
    if (f->high_switch && !f->guard_valve)
        printf("  A high switch at %s tells the feed solenoid to shut.\n",
               amount_words(AMOUNT_LEVEL, 100.0 * f->high_at, 1, cell));
    if (f->run_timer)
        printf("  A run timer tells the feed solenoid to shut after %s.\n",
               screen_span(f->longest_run, cell));
    if (f->leak_sensor && !f->guard_valve)
        printf("  A leak sensor tells the feed solenoid to shut after %s on the floor.\n",
               screen_litres(f->leak_volume, cell));
    return f->switches + f->run_timer + (f->guard_valve ? 0 : f->high_switch + f->leak_sensor);
}

/* Protections with a valve of their own. */
static void tell_guard_valve(const struct fill *f)
{
    char cell[SCREEN_CELL];
    if (!f->guard_valve)
        return;
    if (f->high_switch)
        printf("  A high switch at %s tells a guard valve of its own to shut.\n",
               amount_words(AMOUNT_LEVEL, 100.0 * f->high_at, 1, cell));
    if (f->leak_sensor)
        printf("  A leak sensor tells the guard valve to shut after %s on the floor.\n",
               screen_litres(f->leak_volume, cell));
}

/* Which of them stay tripped when their cause has gone. */
static void tell_latches(const struct fill *f)
{
    const struct {
        bool latches;
        const char *part;
    } rows[] = { { f->high_switch && f->high_latches, "the high switch" },
                 { f->run_timer && f->timer_latches, "the run timer" },
                 { f->leak_sensor && f->leak_latches, "the leak sensor" },
                 { f->low_pressure_switch && f->inlet.latches, "the low pressure switch" } };
    char words[SCREEN_TEXT] = "";
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (rows[i].latches)
            text_append(words, sizeof words, "%s%s", words[0] ? ", " : "", rows[i].part);
    if (words[0] == '\0')
        return;
    text_append(words, sizeof words, ".");
    glance_item("Once tripped, shut until somebody resets: ", words);
}

/* A fill that is longer than the run timer allows trips it though nothing has failed: at worst on a
 * cold day, after the largest draw from a tank that was about to be filled. */
static void tell_timer(const struct glance *k)
{
    const struct plant *p = &k->scenario.plant;
    const struct plan *plan = &k->scenario.plan;
    const double flow = k->sizing.point[SIZING_COLDEST].signals.product_flow;
    if (!p->fill.run_timer || !p->fill.switches || !(flow > 0.0))
        return;
    double draw = 0.0;
    for (int i = 0; i < plan->draws; i++)
        draw = fmax(draw, plan->draw[i].take);
    const double full = tank_volume(&p->tank, p->fill.off_at);
    const double missing = fmin(full - tank_volume(&p->tank, p->fill.on_at) + draw,
                                full - tank_volume(&p->tank, p->tank.outlet));
    if (missing / flow <= p->fill.longest_run)
        return;
    char words[SCREEN_TEXT] = "", litres[SCREEN_CELL], takes[SCREEN_CELL];
    text_append(words, sizeof words,
                "on a cold day %s take %s%s; the run timer trips then, though nothing has failed.",
                screen_litres(missing, litres), screen_span(missing / flow, takes),
                draw > 0.0 ? " to fill in after the largest draw" : " to fill in");
    glance_item("TOO SHORT A RUN TIMER: ", words);
}

/* However many give the order, one valve has to obey it. */
static void tell_one_valve(const struct fill *f, int orders)
{
    char cell[SCREEN_CELL];
    if (orders > 1)
        glance_item(orders > 2 ? "ALL OF THESE " : "BOTH OF THESE ",
                    orders > 2
                        ? "act on ONE feed solenoid: if that itself sticks open or weeps, none of "
                          "them stops the water."
                        : "act on ONE feed solenoid: if that itself sticks open or weeps, "
                          "neither stops the water.");
    else if (orders == 1)
        glance_item("The feed solenoid ",
                    f->guard_valve ? "may stick open or weep: then the guard valve is left."
                    : f->float_valve
                        ? "may stick open or weep: then only the float valve is left."
                        : "is the only valve: if that itself sticks open or weeps, nothing "
                          "else stops the water.");
    if (f->float_valve)
        printf("  A float valve on the product shuts at %s%s.\n",
               amount_words(AMOUNT_LEVEL, 100.0 * f->valve.shuts_at, 1, cell),
               orders > 0 ? ", whatever the solenoid does" : "");
}

/* What happens when the parts named above fail. */
static void tell_failure(const struct glance *k, int orders)
{
    const struct plant *p = &k->scenario.plant;
    const struct sizing *z = &k->sizing;
    char until[SCREEN_CELL], most[SCREEN_CELL], words[SCREEN_TEXT] = "";
    const double flow = z->point[SIZING_WARMEST].signals.product_flow;
    if (orders == 0 && !p->fill.float_valve)
        glance_item("Nothing: ", "no level switch and no float valve; the tank fills for ever.");
    if (p->fill.shutoff_valve)
        glance_item("A shut-off valve ",
                    "closes the feed once the float valve is shut and the product "
                    "pressure has come up; a float that "
                    "weeps makes it open and close for ever.");
    if (z->throttled)
        glance_item(
            "Nothing shuts the feed: ",
            "while the float valve is shut the membrane's drain goes on running, all night.");
    if ((orders == 0 && !p->fill.float_valve) || !(flow > 0.0))
        return;
    text_append(words, sizeof words, "%s to the %s, then %s an hour.",
                screen_span(z->fill_time[SIZING_WARMEST], until),
                p->tank.overflow.kind != OVERFLOW_NONE ? "overflow" : "rim",
                screen_litres(3600.0 * flow, most));
    glance_item(!p->fill.float_valve ? "If the feed solenoid sticks open: "
                : orders == 0        ? "If the float valve sticks open: "
                                     : "If the feed solenoid and the float valve stick open: ",
                words);
}

static void tell_overflow(const struct plant *p, const struct sizing *z)
{
    char dependable[SCREEN_CELL];
    if (p->tank.overflow.kind == OVERFLOW_NONE) {
        printf("  No overflow pipe: all of it goes on the floor%s.\n",
               p->fill.drip_pan ? " once the pan is full" : "");
        return;
    }
    screen_litres(3600.0 * overflow_dependable(&p->tank.overflow, p->tank.height, 1.0), dependable);
    char words[SCREEN_TEXT] = "";
    text_append(words, sizeof words, "takes %s an hour dependably: %s.", dependable,
                z->floor_rate > 0.0 ? "LESS than comes in" : "enough, while it is clear");
    glance_item("The overflow pipe ", words);
}

/* Water that no valve on the feed holds back. */
static void tell_bladder(const struct glance *k)
{
    const struct sizing *z = &k->sizing;
    char words[SCREEN_TEXT] = "", gives[SCREEN_CELL], room[SCREEN_CELL], pressure[SCREEN_CELL];
    if (!k->scenario.plant.has_bladder)
        return;
    screen_litres(z->bladder_gives, gives);
    screen_litres(z->room, room);
    text_append(
        words, sizeof words,
        "after the feed is shut the bladder still gives up to %s (it comes to %s). "
        "Above where filling stops the tank has room for %s: %s.",
        gives, amount_words(AMOUNT_BAR, 1e-5 * z->bladder_pressure, 1, pressure), room,
        z->bladder_gives > z->room
            ? "LESS; with a float valve that sticks open the rest runs over, whatever shuts "
              "the feed"
            : "enough for it alone");
    glance_item("A bladder tank: ", words);
}

static void tell_siphon(const struct glance *k)
{
    const struct plant *p = &k->scenario.plant;
    const struct sizing_siphon *s = &k->sizing.siphon;
    char words[SCREEN_TEXT] = "", brings[SCREEN_CELL], cell[SCREEN_CELL];
    char from[SCREEN_CELL], to[SCREEN_CELL];
    if (!(s->brings > 0.0))
        return;
    text_append(
        words, sizeof words,
        "%s it goes on by itself when the pump stops: %s a minute at first, %s in all, from "
        "%s down to %s, %s.",
        p->topoff.siphon_break ? "if its siphon break is blocked," : "WITHOUT A SIPHON BREAK",
        screen_litres(60.0 * s->flow, cell), screen_litres(s->brings, brings),
        amount_bare(AMOUNT_LEVEL, 100.0 * s->from, 1, from),
        amount_words(AMOUNT_LEVEL, 100.0 * s->to, 1, to),
        s->to < s->filling_from ? "and then, without an end, all that is made"
                                : "before the tank is filled again");
    if (s->spills > 0.0)
        text_append(words, sizeof words, " Of that %s run over the rim of the served water.",
                    screen_litres(s->spills, cell));
    else
        text_append(words, sizeof words, " The served water holds that much.");
    if (p->basin.salinity > 0.0)
        text_append(words, sizeof words, " Its salinity falls from %.1f to %.1f g/kg.",
                    p->basin.salinity, s->salinity);
    glance_item("The hose of the top-off pump: ", words);
}

void glance_stops(const struct glance *k)
{
    const struct fill *f = &k->scenario.plant.fill;
    puts("WHAT STOPS THE WATER");
    const int orders = tell_solenoid(f);
    tell_one_valve(f, orders);
    tell_guard_valve(f);
    tell_low_pressure(&k->scenario.plant, &k->sizing);
    tell_latches(f);
    tell_timer(k);
    tell_failure(k, orders);
    tell_overflow(&k->scenario.plant, &k->sizing);
    tell_bladder(k);
    tell_siphon(k);
    putchar('\n');
}
