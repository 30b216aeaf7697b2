/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Reads what the water part needs from scenario.resolved.cfg, where every value stands in SI
 * (docs/results.md).
 */
#include "peer.h"

#include <libconfig.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static config_t file;

static void refuse(const char *what, const char *which)
{
    fprintf(stderr, "peer: %s: %s\n", what, which);
    exit(65);
}

static const char *text(const char *path)
{
    const char *found = NULL;
    if (!config_lookup_string(&file, path, &found))
        refuse("not in the scenario", path);
    return found;
}

static double number(const char *path)
{
    return strtod(text(path), NULL);
}

static struct peer_cycle cycle(const char *path)
{
    static const char *const key[] = { "mean", "season", "peak_day", "daily", "peak_hour" };
    double v[5];
    for (int i = 0; i < 5; i++) {
        char full[96];
        snprintf(full, sizeof full, "%s.%s", path, key[i]);
        v[i] = number(full);
    }
    return (struct peer_cycle){ v[0], v[1], v[2], v[3], v[4] };
}

/* docs/species.md; chlorine has become chloride and acid on the carbon. */
static void read_feed(struct peer *p)
{
    static const struct {
        const char *path;
        int charge;
    } ion[] = { { "feed.sodium", 1 },    { "feed.potassium", 1 }, { "feed.calcium", 2 },
                { "feed.magnesium", 2 }, { "feed.chloride", -1 }, { "feed.sulfate", -2 },
                { "feed.nitrate", -1 },  { "feed.fluoride", -1 }, { "feed.chlorine", -1 } };
    for (int i = 0; i < PEER_IONS; i++) {
        const double c = number(ion[i].path);
        p->strong += ion[i].charge * c;
        p->ions += c;
        p->osmolarity[0] += ion[i].charge * ion[i].charge * c;
    }
    if (number("feed.ammonium") + number("feed.chloramine") > 0.0)
        refuse("not known here", "ammonium and chloramine");
    p->carbon = number("feed.carbon");
    p->silica = number("feed.silica");
    p->solids = number("feed.solids");
    p->valve_bore = number("feed.valve_bore");
    p->temperature = cycle("feed.temperature");
    p->pressure = cycle("feed.pressure");
    peer_osmolarities(p);
}

static void read_train(struct peer *p)
{
    static const char *const kind[] = { "train.[0].kind", "train.[1].kind", "train.[2].kind",
                                        "train.[3].kind" };
    static const char *const wanted[] = { "sediment", "carbon", "membrane", "resin" };
    for (int i = 0; i < 4; i++)
        if (strcmp(text(kind[i]), wanted[i]) != 0)
            refuse("not the train that is known here", text(kind[i]));
    p->sediment_a = number("train.[0].resistance");
    p->capture = number("train.[0].capture");
    p->capacity = number("train.[0].capacity");
    p->carbon_a = number("train.[1].resistance");
    struct peer_membrane *m = &p->ro;
    m->A = number("train.[2].water_permeability");
    m->B = number("train.[2].salt_permeability");
    m->leak = number("train.[2].leak");
    m->U = number("train.[2].water_activation");
    m->U_cold = number("train.[2].water_activation_cold");
    m->Us = number("train.[2].salt_activation");
    m->area = number("train.[2].area");
    m->path = number("train.[2].path");
    m->spacer = number("train.[2].spacer");
    m->porosity = number("train.[2].porosity");
    m->film = number("train.[2].polarization");
    m->drain = number("train.[2].restrictor_flow");
    m->drain_at = number("train.[2].restrictor_pressure");
    m->drain_n = number("train.[2].restrictor_exponent");
    m->drain_p = number("train.[2].restrictor_viscosity");
    m->strips = 8;
    p->bed = number("train.[3].volume");
    p->depth = number("train.[3].depth");
    p->bead = number("train.[3].bead");
    p->eps = 1.0 - number("train.[3].packing") * (1.0 - number("train.[3].voids"));
    int wears = 0;
    config_lookup_bool(&file, "train.[2].wear.on", &wears);
    if (wears)
        refuse("not known here", "a membrane that wears");
}

static void read_storage(struct peer *p)
{
    const config_setting_t *list = config_lookup(&file, "storage.shutoff");
    for (int i = 0; i < config_setting_length(list); i++) {
        const char *name = config_setting_get_string_elem(list, i);
        p->switches = p->switches || strcmp(name, "level switches") == 0;
        p->floats = p->floats || strcmp(name, "float valve") == 0;
        if (strcmp(name, "level switches") && strcmp(name, "float valve") &&
            strcmp(name, "high switch"))
            refuse("not known here", name);
    }
    if (strcmp(text("storage.shape"), "upright") != 0)
        refuse("not known here", "this shape of tank");
    const double diameter = number("storage.diameter");
    p->tank_area = 0.78539816339744831 * diameter * diameter;
    p->first = number("storage.first");
    p->on_level = p->switches ? number("storage.opens_at") : 0.0;
    p->shuts_at = p->off_level = number("storage.shuts_at");
    p->band = number("storage.switch_band");
    p->float_band = number("storage.float_band");
    p->seat = number("storage.float_seat");
    p->stiction = number("storage.float_stiction");
    p->outlet = number("storage.outlet");
    p->lip = number("storage.overflow_lip");
    p->tube_length = number("storage.tube_length");
    p->tube_bore = number("storage.tube_bore");
    p->check_opening = number("storage.check_opening");
    p->inlet = number("storage.inlet_height");
    p->solenoid_power = number("storage.solenoid_power");
}

static void read_served(struct peer *p)
{
    if (strcmp(text("served.topoff"), "pump and float switch") != 0)
        refuse("not known here", "this top-off");
    p->surface = number("served.surface");
    p->open_surface = number("served.open_surface");
    p->volume = number("served.volume");
    p->freeboard = number("served.freeboard");
    p->calibration = number("served.calibration");
    p->topoff_flow = number("served.topoff_flow");
    p->topoff_below = number("served.topoff_below");
    p->topoff_band = number("served.topoff_band");
    p->topoff_power = number("served.topoff_power");
    p->water = cycle("served.water");
    p->air = cycle("served.air");
    p->humidity = cycle("served.humidity");
    p->draught = cycle("served.draught");
}

static double member(const config_setting_t *group, const char *key)
{
    const char *found = NULL;
    if (!config_setting_lookup_string(group, key, &found))
        refuse("not in the scenario", key);
    return strtod(found, NULL);
}

static void read_events(struct peer *p)
{
    static const char *const word[] = { "power cut", "power back", "supply cut", "supply back",
                                        "replace" };
    const config_setting_t *list = config_lookup(&file, "events");
    for (int i = 0; list && i < config_setting_length(list) && p->events < PEER_EVENTS; i++) {
        const config_setting_t *e = config_setting_get_elem(list, (unsigned)i);
        const char *what = "", *stage = "";
        config_setting_lookup_string(e, "what", &what);
        config_setting_lookup_string(e, "stage", &stage);
        int k = 0;
        while (k < 5 && strcmp(word[k], what) != 0)
            k++;
        if (k == 5 || (k == NEW_RESIN && strcmp(stage, "resin") != 0))
            refuse("not known here", what);
        p->event[p->events++] = (struct peer_event){ member(e, "at"), (enum peer_what)k };
    }
    list = config_lookup(&file, "draws");
    for (int i = 0; list && i < config_setting_length(list) && i < PEER_DRAWS; i++) {
        const config_setting_t *d = config_setting_get_elem(list, (unsigned)i);
        const double rate = member(d, "rate");
        p->draw[p->draws++] = (struct peer_draw){ member(d, "every"), member(d, "first"),
                                                  member(d, "take") / rate, rate };
    }
}

void peer_read(const char *name, struct peer *p)
{
    memset(p, 0, sizeof *p);
    config_init(&file);
    if (!config_read_file(&file, name))
        refuse(name, config_error_text(&file));
    if (strcmp(text("clock.start"), "2026-01-01") != 0)
        refuse("not known here: a start other than the first of January", text("clock.start"));
    read_feed(p);
    read_train(p);
    read_storage(p);
    read_served(p);
    read_events(p);
    p->resin_flush = number("commissioning.resin");
    p->length = number("clock.length");
    p->every = number("records.every");
    config_destroy(&file);
}
