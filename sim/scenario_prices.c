/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_prices: the group `prices`: water, electricity, cartridges, further safeguards.
 */
#include "scenario_inner.h"

#include "text.h"

#define DAY 86400.0
#define YEAR (365.25 * DAY)

#define US_AVERAGE "US average 2023 in USD, fixed charges included: Teodoro 2024"

const struct field scenario_price_fields[] = {
    NUMBER("water", DIM_PRICE_PER_VOLUME, struct prices, water, 1.908, 0.0, 1e4, 0.05, 20.0,
           "price of supply water", US_AVERAGE),
    NUMBER("sewer", DIM_PRICE_PER_VOLUME, struct prices, sewer, 2.138, 0.0, 1e4, 0.0, 20.0,
           "price of waste water, paid on the water that comes in", US_AVERAGE),
    NUMBER("electricity", DIM_PRICE_PER_ENERGY, struct prices, electricity, 0.17 / 3.6e6, 0.0, 1.0,
           0.0, 1.0 / 3.6e6, "price of electricity", "assumption: 0.17 /kWh"),
    { .key = NULL },
};

#define SAFEGUARD(key, kind, doc)                                                                  \
    NUMBER(key, DIM_PRICE, struct prices, safeguard[kind], FIELD_OPTIONAL, 0.0, 1e6, 0.0, 1e4,     \
           doc, "")

/* Nobody knows what they cost where the reader lives: there are no defaults. */
const struct field scenario_safeguard_fields[] = {
    SAFEGUARD("high_switch", SAFEGUARD_HIGH_SWITCH,
              "price of a high switch and a valve of its own, fitted; not known if left out"),
    SAFEGUARD("leak_sensor", SAFEGUARD_LEAK_SENSOR,
              "price of a leak sensor and a valve of its own"),
    SAFEGUARD("float_valve", SAFEGUARD_FLOAT_VALVE, "price of a float valve on the product"),
    SAFEGUARD("overflow_pipe", SAFEGUARD_OVERFLOW_PIPE, "price of an overflow pipe to a drain"),
    SAFEGUARD("run_timer", SAFEGUARD_RUN_TIMER, "price of a run timer on the feed solenoid"),
    SAFEGUARD("topoff_timer", SAFEGUARD_TOPOFF_TIMER, "price of a longest run of the top-off pump"),
    SAFEGUARD("topoff_switch", SAFEGUARD_TOPOFF_SWITCH,
              "price of a second switch of the served water"),
    SAFEGUARD("smaller_tank", SAFEGUARD_SMALLER_TANK,
              "price of a smaller storage tank and a run timer"),
    SAFEGUARD("flow_limiter", SAFEGUARD_FLOW_LIMITER, "price of a flow limiter in the product"),
    SAFEGUARD("drip_pan", SAFEGUARD_DRIP_PAN, "price of a drip pan"),
    NUMBER("life", DIM_TIME, struct prices, safeguard_life, 10.0 * YEAR, 30.0 * DAY, 100.0 * YEAR,
           YEAR, 30.0 * YEAR, "how long such a part lasts, to share out its price",
           "assumption: 10 years"),
    { .key = NULL },
};

static const char *const price_others[] = { "cartridges", "currency", "safeguards", NULL };

static const struct stage_group safeguard_group = { "safeguards", scenario_safeguard_fields, 0 };

enum { CARTRIDGE_FIELDS = STAGES_MAX + 1 };

/* One row for each stage: its name is the key. */
static void cartridge_fields(const struct plant *p, struct field fields[CARTRIDGE_FIELDS])
{
    for (int i = 0; i < p->stages; i++)
        fields[i] =
            (struct field){ .key = p->train[i].name,
                            .type = FIELD_NUMBER,
                            .dimension = DIM_PRICE,
                            .offset = offsetof(struct prices, stage) + sizeof(double) * (size_t)i,
                            .preset = 0.0,
                            .max = 1e6,
                            .high = 1e4,
                            .doc = "price of a new cartridge; of a membrane, of one element",
                            .source = "not given: not counted" };
    fields[p->stages] = (struct field){ .key = NULL };
}

void scenario_prices_read(struct loading *l)
{
    struct prices *prices = &l->out->plan.prices;
    const struct node *group = reader_group(&l->reader, tree_member(l->root, "prices"), "prices");
    const struct section flat = { .path = "prices",
                                  .group = group,
                                  .fields = scenario_price_fields,
                                  .base = prices,
                                  .others = price_others };
    reader_section(&l->reader, &flat);
    struct field fields[CARTRIDGE_FIELDS];
    cartridge_fields(&l->out->plant, fields);
    const struct section s = {
        .path = "prices.cartridges",
        .group = reader_group(&l->reader, tree_member(group, "cartridges"), "cartridges"),
        .fields = fields,
        .base = prices,
    };
    if (l->out->plant.stages > 0) /* else the train was refused, and its names are not known */
        reader_section(&l->reader, &s);
    scenario_within_read(l, group, "prices", &safeguard_group, prices);
    const struct node *n = tree_member(group, "currency");
    const char *currency = reader_text(&l->reader, n, "prices.currency");
    if (currency != NULL && !text_copy(prices->currency, sizeof prices->currency, currency))
        reader_complain(&l->reader, SEVERITY_ERROR, n, "such as \"EUR\"",
                        "the name of the currency is too long");
    if (currency == NULL)
        text_copy(prices->currency, sizeof prices->currency, "USD");
    reader_note_text(&l->reader, "prices.currency", n, prices->currency);
}

void scenario_prices_write(const struct scenario *s, FILE *out)
{
    struct field fields[CARTRIDGE_FIELDS];
    cartridge_fields(&s->plant, fields);
    writer_open(out, "prices");
    writer_text(out, "currency", s->plan.prices.currency);
    writer_fields(out, scenario_price_fields, &s->plan.prices);
    writer_open(out, "cartridges");
    writer_fields(out, fields, &s->plan.prices);
    writer_close(out);
    scenario_within_write(&safeguard_group, &s->plan.prices, out);
    writer_close(out);
}
