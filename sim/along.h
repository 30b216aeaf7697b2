/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along: part by part of the line at a moment: pressure, flow, and what is in the water.  Page:
 * docs/along.md.
 *
 * The scenario is run to the moment, so that wear and beds are those of a run; then a minute of
 * steady production is followed down the line by the same functions.
 */
#ifndef SIM_ALONG_H
#define SIM_ALONG_H

#include <jansson.h>
#include <stdio.h>

#include "run.h"
#include "scenario.h"

enum { ALONG_POINTS = STAGES_MAX + 5, ALONG_LOOKS = 2, ALONG_TEXT = 1024 };

enum along_kind {
    ALONG_FEED,        /* in front of the feed valve */
    ALONG_VALVE,       /* behind it */
    ALONG_STAGE,       /* behind a stage; of the membrane the permeate */
    ALONG_CONCENTRATE, /* at the end of the membrane's feed channel */
    ALONG_DRAIN,       /* behind the restrictor */
    ALONG_INLET        /* of the tank, behind the line to it */
};

/* The forms in which it is shown: ions by themselves, weak acids as they are at 25 degC. */
enum along_form {
    FORM_NA, FORM_K, FORM_CA, FORM_MG, FORM_NH4, FORM_H,
    FORM_CL, FORM_SO4, FORM_NO3, FORM_F, FORM_HCO3, FORM_CO3, FORM_OH, FORM_H3SIO4,
    FORM_CO2, FORM_NH3, FORM_SIO2, FORM_CL2, FORM_NH2CL, FORM_SOLIDS,
    ALONG_FORMS
};

struct along_form_row {
    const char *key, *symbol;
    int charge;
    double molar_mass;          /* kg/mol; 0: that of the species */
    enum species of;            /* the species that it belongs to; SPECIES_COUNT: none */
};
extern const struct along_form_row along_forms[ALONG_FORMS];
double along_mass(enum along_form f); /* kg/mol; 1 of what is in kg/m3 */

struct along_point {
    enum along_kind kind;
    int stage;                  /* of the train, -1 if it is none */
    const char *name;           /* given by the user, or ours */
    const char *title;          /* in words */
    double pressure;            /* Pa behind it */
    double lost;                /* Pa lost in it; a booster's is negative */
    double flow;                /* m3/s */
    const struct parcel *came, *water; /* of the minute, in front of it and behind it */
    const struct parcel *drained;      /* what left it to the drain; NULL if nothing does */
    double form[ALONG_FORMS];   /* mol/m3 (kg/m3) */
    double ph;                  /* at 25 degC, as conductivity is */
    double ph_here;             /* at the temperature of the water */
    double conductivity;        /* S/m at 25 degC */
    double shown;               /* kg/m3 on the pocket meter, rounded as it does */
};

struct along_look {
    double t;                   /* s */
    bool resting;               /* in the run no water was made at that moment */
    struct settings settings;   /* as it would make water then */
    struct state before, after; /* beds in front of the minute and behind it */
    struct plant_trace trace;
    int points;
    struct along_point point[ALONG_POINTS];
    char notes[ALONG_TEXT];     /* what was not sound then; one a line */
};

struct along {
    const struct scenario *scenario;
    struct plant plant;         /* with an open tank and the mean of the day */
    int looks;
    struct along_look *look[ALONG_LOOKS]; /* in the order asked for */
};

struct along_options {
    double at[ALONG_LOOKS];     /* s */
    int looks;
    void (*progress)(void *self, double share); /* NULL: none */
    void *progress_self;
    const volatile sig_atomic_t *stop;
};

/* Runs and looks.  Words say why there is no answer.  In any case along_free it. */
enum status along_find(struct along *a, const struct scenario *s, const struct along_options *o,
                       char words[ALONG_TEXT]);
void along_free(struct along *a);

/* What a point takes of a species out of each litre that goes on, as a share of what came: negative
 * if it gives off, NAN if none came. */
double along_taken(const struct along_point *p, enum species i);

/* Per second [mol/s, kg/s]: what came to a point, went on, left to the drain, stayed. */
struct along_balance {
    double came, on, drained, stayed;
};
struct along_balance along_balance(const struct along_point *p, enum species i);

/* Whether the water behind a point is another than in front of it. */
bool along_changes(const struct along_point *p);

/* "day 45.0 (2026-02-15)" */
char *along_when(const struct along *a, int look, char *out, size_t size);

/* 80 columns, for people; everything, for programs. */
void along_print(const struct along *a, FILE *out);
void along_csv(const struct along *a, FILE *out);
json_t *along_json(const struct along *a); /* NULL: out of memory */

#endif
