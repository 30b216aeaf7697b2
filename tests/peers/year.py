# SPDX-License-Identifier: GPL-3.0-or-later
#
# year.py NAME AS_IT_IS FINE PARCEL_L: a whole year with chemistry and wear once more, from the pages docs/ and a
# scenario.resolved.cfg alone, held against two results folders of leat: as it is, and with parcels of a fiftieth, 48
# segments and a tolerance of 1e-9.  PARCEL_L: how much water goes through the beds at once here.  Each line:
# what, the second answer, leat's, how far apart (relative unless said), how far it may be.
import csv
import json
import math
import sys

import numpy as np

from peer import Table
from year_line import ALL, reading
from year_may import MAY
from year_run import Year

ELEMENTS = dict(sodium="sodium", potassium="potassium", calcium="calcium", magnesium="magnesium", sulfur="sulfate",
                fluorine="fluoride", nitrogen="nitrate", chlorine="chloride", silicon="silica", carbon="carbon")
ALSO = dict(nitrogen=("ammonium", "chloramine"), chlorine=("chlorine", "chloramine"))


class Folder:
    def __init__(self, path):
        self.path = path
        self.summary = json.load(open(path + "/summary.json"))
        read = lambda name: list(csv.DictReader(open("%s/%s.csv" % (path, name))))
        self.events, self.wear, self.cost = read("events"), read("wear"), read("cost")
        self.series = {round(float(r["day"]), 4): r for r in read("series")}
        self.balance = {r["what"]: {k: float(x) for k, x in r.items() if k not in ("what", "unit")}
                        for r in read("balance")}

    def times(self, kind):
        return [86400 * float(r["day"]) for r in self.events if r["kind"] == kind]

    def daily(self, name):
        """A column of the series at every midnight."""
        days = range(1, int(self.summary["days"]) + 1)
        return np.array([float(self.series[d][name] or "nan") if d in self.series else math.nan for d in days])


def mol(amounts, element):
    return sum(amounts[ALL.index(k)] for k in (ELEMENTS[element], *ALSO.get(element, ())))


def median(mine, said):
    """The pair that is as far apart as half of all pairs."""
    said = said[:len(mine)]
    good = ~np.isnan(mine) & ~np.isnan(said)
    mine, said = np.array(mine)[good], said[good]
    middle = int(np.argsort(np.abs(said / mine - 1.0))[len(mine) // 2])
    return mine[middle], said[middle]


def compare(year, leat, table, name, may):
    end, water, total = year.marks[-1], leat.summary["water"], year.marks[-1]["total"]
    hold = lambda what, mine, said, key, relative=True: table.hold(
        "%s: %s" % (name, what), mine, said, may[key], relative)

    mine = sorted((round(e[0] / 86400, 3), e[2]) for e in year.events if e[1] == "replaced" and e[2] in year.dated)
    mine = sorted(mine + [(round(e[0], 3), e[1]) for e in getattr(year, "ends", [])])
    said = sorted((round(float(r["day"]), 3), r["part"]) for r in leat.events if r["kind"] == "replace")
    hold("ends of cartridges", len(mine), len(said) if [m[1] for m in mine] == [s[1] for s in said] else -1, "exact", False)
    if mine:
        hold("day of the ends", [m[0] for m in mine], [s[0] for s in said], "exact", False)
    for kind in ("fill starts", "fill stops", "top-off", "top-off ends"):
        mine = [e[0] for e in year.events if e[1] == kind]
        if mine:
            hold("s of " + kind, mine, leat.times(kind), "seconds", False)

    litres = [(1e3 * total[k], water[j]) for k, j in (
        ("feed", "feed_L"), ("drain", "drain_L"), ("product", "product_L"), ("diverted", "diverted_L"),
        ("vapour", "evaporated_L"), ("top", "topped_off_L"), ("drawn", "drawn_L"), ("rinsed", "rinsed_with_product_L"))]
    hold("L of all kinds", [a for a, _ in litres], [b for _, b in litres], "litres")
    hold("h of making water", total["making"] / 3600, water["hours_making_water"], "litres")
    hold("starts", total["starts"], water["starts"], "exact", False)
    hold("kWh", total["energy"] / 3.6e6, water["electricity_kWh"], "litres")
    prices = year.v["prices"]
    waste = total["drain"] + total["diverted"] + total["rinsed"]
    cost = prices["water"] * total["feed"] + prices["sewer"] * waste + prices["electricity"] * total["energy"] + \
        sum(prices["cartridges"].get(r["part"], 0.0) for r in leat.events if r["kind"] == "replace")
    hold("cost", cost, leat.summary["cost"]["total"], "litres")

    used = dict(end.get("used", {}), sediment=end["sediment"], carbon=end["carbon"])
    used = {k: x for k, x in used.items() if k in leat.summary["share_of_life_used"]}
    hold("shares of life used", list(used.values()), [leat.summary["share_of_life_used"][k] for k in used], "used")

    days = year.days[:len(leat.wear)]
    column = lambda key: [d[key] for d in days]
    if year.membrane:
        hold("standardised flow, %", column("standard"), [float(r["standard_flow_percent"]) for r in leat.wear],
             "percent", False)
        shows = np.array(column("permeate"))
        hold("permeate reading, the median midnight", *median(shows, leat.daily("permeate_meter_ppm")), "reading")
    hold("flow as it is", column("flow"), [float(r["product_flow_mL_min"]) for r in leat.wear], "flow")
    hold("lost in the sediment cartridge", column("drop"), [float(r["sediment_drop_kPa"]) for r in leat.wear], "drop")
    hold("cm in the tank", column("level"), leat.daily("tank_level_cm")[:len(days)], "level", False)
    if year.served:
        hold("salinity, g/kg", column("salinity"), leat.daily("salinity_g_kg")[:len(days)], "salinity", False)
    if "oxidant" in year.first:
        hold("day of 0.1 mg/L of oxidant at the membrane", year.first["oxidant"] / 86400,
             leat.summary["first_passed"]["oxidant_over_0.1_mg_L_at_membrane"]["day"], "oxidant", False)
    if year.resins:
        fronts(year, leat, hold)
    balances(year, leat, hold, end)


def fronts(year, leat, hold):
    """What came last through the beds, at every midnight at which the plant rests.  A front is narrower than a
    cell, so that the outlet climbs by a step a cell, and a fill may end on either side of one: the median counts."""
    days = np.arange(1, len(year.days) + 1)
    last = np.searchsorted([a[0] for a in year.at], 86400.0 * days + 1.0) - 1
    good = (last >= 0) & ~np.array([d["running"] for d in year.days])
    for what, value in (("product_silica_mg_L", lambda c: 60.0843 * c[ALL.index("silica")]),
                        ("product_carbon_mg_L_as_CO2", lambda c: 44.0095 * c[ALL.index("carbon")]),
                        ("product_meter_ppm", reading)):
        said = leat.daily(what)[:len(days)]
        use = good & ~np.isnan(said)
        mine = np.array([value(year.out[year.at[i][1]][1]) for i in last[use]])
        hold("%s, the median midnight" % what.replace("_", " "), *median(mine, said[use]), "front")


def balances(year, leat, hold, end):
    """Moles of each element by where they went.  What beds hold is measured by what came to them."""
    rows = {k: [] for k in ("in", "drain", "diverted", "drawn", "cartridges", "held")}
    for element, r in leat.balance.items():
        if element not in ELEMENTS or r["in"] == 0:
            continue
        air = end["air"] if element == "carbon" else 0.0
        scale = mol(end["to"]["fed"] - end["to"]["drain"], element)
        rows["in"].append((mol(end["to"]["fed"], element) + air, r["in"] - r["out_air"]))
        rows["drain"].append((mol(end["to"]["drain"], element), r["out_drain"]))
        rows["diverted"].append((mol(end["to"]["diverted"] + end.get("flushed", 0.0), element), r["out_diverted"]))
        rows["drawn"].append((mol(end["out"]["drawn"], element), r["out_drawn"]))
        held = end["tank"] + end["out"]["top"] + sum(end.get("resin", {}).values())
        if year.membrane:
            h = year.membrane["holdup"]
            held = held + np.array(end["x"]) * h["permeate"] + np.array(end["y"]) * h["feed"]
        held = mol(held, element) + (end["wear"]["N"] if element in ("calcium", "carbon") else 0.0)
        old = mol(end["out_membranes"] + end.get("old", 0.0), element)
        rows["cartridges"].append(((old + scale) / scale, (r["out_old_cartridges"] + scale) / scale))
        rows["held"].append(((held + scale) / scale, (r["held_at_end"] + scale) / scale))
    for what, pairs in rows.items():
        if any(a != 0 or b != 0 for a, b in pairs):
            hold("mol " + what, [a for a, _ in pairs], [b for _, b in pairs],
                 {"in": "litres", "drain": "drain"}.get(what, "mol_" + what))


def main():
    name, as_it_is, fine = sys.argv[1:4]
    table, may = Table(), MAY[name]
    year = Year(fine + "/scenario.resolved.cfg", bed_parcel=1e-3 * float(sys.argv[4]))
    year.dated = [s["name"] for s in (year.sediment, year.carbon, year.membrane) if s]
    year.run(json.load(open(fine + "/summary.json"))["days"])
    if year.resins:
        year.beds()
    compare(year, Folder(as_it_is), table, name, may[0])
    compare(year, Folder(fine), table, name + ", fine", may[1])
    table.end()


main()
