/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_control: the group `control`: rinses of the membrane with the drain wide open, and the
 * first product of a run, which may go to the drain.
 */
#include "scenario_inner.h"

#define DAY 86400.0
#define OPTIONAL FIELD_OPTIONAL

static const char *const rinse_waters[] = { "feed", "permeate", NULL };

const struct field scenario_control_fields[] = {
    NUMBER("rinse_at_start", DIM_TIME, struct rinse, at_start, 0.0, 0.0, DAY, 0.0, 600.0,
           "rinse when a run begins", "none unless it is said"),
    NUMBER("rinse_at_stop", DIM_TIME, struct rinse, at_stop, 0.0, 0.0, DAY, 0.0, 600.0,
           "rinse when a run has ended", "none unless it is said"),
    NUMBER("rinse_every", DIM_TIME, struct rinse, every, OPTIONAL, 60.0, 366.0 * DAY, 600.0,
           7.0 * DAY, "time of making water from one rinse to the next; no such rinses if left out",
           ""),
    NUMBER("rinse_for", DIM_TIME, struct rinse, every_for, OPTIONAL, 1.0, DAY, 10.0, 600.0,
           "length of each of these; 60 s if left out beside rinse_every", ""),
    NUMBER("rinse_bypass", DIM_NONE, struct rinse, bypass, 3.0, 1.0, 20.0, 1.5, 10.0,
           "in a rinse the drain passes so many times as much as through its restrictor",
           "assumption"),
    CHOICE("rinse_with", struct rinse, with, RINSE_FEED, rinse_waters,
           "water of the rinse at stop: the feed, or stored product pushed from the tank while the "
           "feed is shut",
           "the usual one; it needs no pump"),
    NUMBER("rinse_flow", DIM_FLOW, struct rinse, flow, 1e-3 / 60.0, 1e-7, 1e-2, 2e-6, 7e-5,
           "flow of stored product in that rinse", "assumption: a small diaphragm pump"),
    NUMBER("divert", DIM_TIME, struct rinse, divert, OPTIONAL, 1.0, DAY, 10.0, 1800.0,
           "first product of a run that goes to the drain behind the membrane; beside divert_below "
           "the longest wait, 10 min if left out",
           ""),
    NUMBER("divert_below", DIM_MASS_CONCENTRATION, struct rinse, divert_below, OPTIONAL, 1e-6, 10.0,
           1e-3, 0.1, "reading of the permeate from which on the product goes its way", ""),
    { .key = NULL },
};

struct context {
    struct loading *l;
    const struct node *group;
    const struct section *section;
    const struct rinse *r;
    bool rinses, diverts;
};

static void complain(const struct context *c, enum severity severity, const char *key,
                     const char *cure, const char *words)
{
    const struct node *n = reader_find(c->group, key);
    reader_complain(&c->l->reader, severity, n != NULL ? n : c->group, cure, "%s", words);
}

/* The first key that was given of those that ask for a rinse, or for diverting. */
static const char *asks(const struct context *c)
{
    static const char *const keys[] = { "rinse_every", "rinse_at_start", "rinse_at_stop", "divert",
                                        "divert_below" };
    const bool said[] = { isfinite(c->r->every), c->r->at_start > 0.0, c->r->at_stop > 0.0,
                          c->r->divert > 0.0, c->diverts };
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        if (said[i] && reader_find(c->group, keys[i]) != NULL)
            return keys[i];
    return "rinse_every";
}

static void check_parts(const struct context *c)
{
    const struct fill *f = &c->l->out->plant.fill;
    if (!scenario_train_has_membrane(c->l))
        complain(c, SEVERITY_ERROR, asks(c), "leave it out, or put a membrane in the train",
                 c->rinses ? "a rinse needs a membrane" : "diverting needs a membrane");
    if (!plant_has_solenoid(&c->l->out->plant))
        complain(c, SEVERITY_ERROR, asks(c),
                 "add \"level switches\" to shutoff, or leave the group out",
                 "rinses and diverting need a feed solenoid, and nothing in shutoff has one");
    else if (!f->switches && (c->r->at_start > 0.0 || c->r->at_stop > 0.0 || c->diverts))
        complain(c, SEVERITY_WARNING, asks(c), "add \"level switches\" to shutoff",
                 "without level switches a run begins when the power comes and does not end: what "
                 "is done at its start or stop hardly happens");
}

static void check_times(const struct context *c)
{
    const struct rinse *r = c->r;
    if (r->every_for > 0.0 && !isfinite(r->every))
        complain(c, SEVERITY_ERROR, "rinse_for",
                 "add rinse_every = \"4 h\"; or leave rinse_for out",
                 "rinse_for says how long, but rinse_every does not say how often");
    if (r->every_for >= r->every)
        complain(c, SEVERITY_ERROR,
                 reader_find(c->group, "rinse_for") ? "rinse_for" : "rinse_every",
                 "make rinse_for shorter, or rinse_every longer",
                 "a rinse would last longer than the time from one to the next");
    if (!c->rinses)
        reader_unused(&c->l->reader, c->section, "rinse_bypass", "no rinse is asked for");
}

/* Water that the rinse takes must lie between the switches, or each rinse calls for a filling. */
static void check_permeate(const struct context *c)
{
    const struct plant *p = &c->l->out->plant;
    const struct rinse *r = c->r;
    if (r->with == RINSE_PERMEATE && r->at_stop <= 0.0)
        complain(c, SEVERITY_WARNING, "rinse_with", "add rinse_at_stop = \"60 s\";",
                 "rinse_with has no effect: there is no rinse at stop");
    if (r->with == RINSE_FEED)
        reader_unused(&c->l->reader, c->section, "rinse_flow",
                      "the feed rinses, as fast as the drain lets it");
    if (r->with != RINSE_PERMEATE || r->at_stop <= 0.0 || !p->fill.switches)
        return;
    const double between =
        tank_volume(&p->tank, p->fill.off_at) - tank_volume(&p->tank, p->fill.on_at);
    if (r->at_stop * r->flow >= between)
        complain(c, SEVERITY_ERROR, "rinse_at_stop",
                 "make rinse_at_stop or rinse_flow smaller, or set opens_at lower",
                 "the rinse takes as much as lies between the level switches: every rinse would "
                 "call for a new filling");
}

void scenario_control_read(struct loading *l)
{
    struct rinse *r = &l->out->plant.rinse;
    const struct node *group = reader_group(&l->reader, tree_member(l->root, "control"), "control");
    const struct section s = {
        .path = "control", .group = group, .fields = scenario_control_fields, .base = r
    };
    reader_section(&l->reader, &s);
    if (!isnan(r->every))
        scenario_assume(
            l, &r->every_for,
            &(struct assumed){ "control.rinse_for", DIM_TIME, 60.0, "assumption: a minute" });
    if (!isnan(r->divert_below))
        scenario_assume(l, &r->divert,
                        &(struct assumed){ "control.divert", DIM_TIME, 600.0,
                                           "assumption: 10 min at most until the reading is low" });
    if (isnan(r->every))
        r->every = INFINITY;
    if (isnan(r->every_for))
        r->every_for = 0.0;
    if (isnan(r->divert))
        r->divert = 0.0;
    const struct context c = { l,
                               group,
                               &s,
                               r,
                               .rinses =
                                   r->at_start > 0.0 || r->at_stop > 0.0 || isfinite(r->every),
                               .diverts = r->divert > 0.0 };
    if (c.rinses || c.diverts)
        check_parts(&c);
    if (group != NULL) {
        check_times(&c);
        check_permeate(&c);
    }
}

void scenario_control_write(const struct scenario *s, FILE *out)
{
    struct rinse r = s->plant.rinse;
    if (!isfinite(r.every))
        r.every_for = NAN;
    if (r.divert == 0.0)
        r.divert = NAN;
    writer_open(out, "control");
    writer_fields(out, scenario_control_fields, &r);
    writer_close(out);
}
