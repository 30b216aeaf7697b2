# SPDX-License-Identifier: GPL-3.0-or-later
#
# water.py NAME FOLDER ANSWER TIME VOLUME LEVEL: holds what water_cvode said (ANSWER) against a results
# folder of leat: every switch in events.csv [s], the totals of summary.json [relative], the levels
# in every row of series.csv [m].  events.csv has 7 digits of a day, so that 5 ms are rounding.
import csv
import json
import sys

import numpy as np

from peer import Table

name, folder, answer = sys.argv[1:4]
may_time, may_volume, may_level = (float(x) for x in sys.argv[4:7])
KINDS = ("fill starts", "fill stops", "top-off", "top-off ends")

events, total, rows = [], {}, {}
for line in open(answer):
    word = line.split()
    if word[0] == "event":
        events.append((" ".join(word[2:]), float(word[1])))
    elif word[0] == "total":
        total[word[1]] = float(word[2])
    elif word[0] == "row":
        rows[round(float(word[1]))] = (float(word[2]), float(word[3]))

table = Table()
said = [(r["kind"], 86400 * float(r["day"])) for r in csv.DictReader(open(folder + "/events.csv"))
        if r["kind"] in KINDS]
same = [a[0] for a in events] == [b[0] for b in said]
table.hold(name + ": switches, in the same order", len(events), len(said) if same else -1, 0, False)
for kind in KINDS if same else ():
    mine = [a[1] for a in events if a[0] == kind]
    if mine:
        table.hold("%s: s of %s" % (name, kind), mine, [b[1] for b in said if b[0] == kind], may_time, False)

w = json.load(open(folder + "/summary.json"))["water"]
made = w["product_L"] + w["diverted_L"]
for key, value in (("feed", w["feed_L"]), ("drain", w["drain_L"]), ("product_and_diverted", made),
                   ("diverted", w["diverted_L"]), ("evaporated", w["evaporated_L"]),
                   ("topped_off", w["topped_off_L"]), ("drawn", w["drawn_L"])):
    table.hold("%s: L %s" % (name, key.replace("_", " ")), 1e3 * total[key], value, may_volume)
table.hold(name + ": h of making water", total["making"] / 3600, w["hours_making_water"], may_volume)
table.hold(name + ": kWh", total["energy"] / 3.6e6, w["electricity_kWh"], may_volume)

# series.csv has five digits of a day.
series = [(round(86400 * float(r["day"]) / 3600) * 3600, float(r["tank_level_cm"]) / 100,
           float(r["basin_level_mm"]) / 1000) for r in csv.DictReader(open(folder + "/series.csv"))]
series = [r for r in series if r[0] in rows]
table.hold(name + ": rows of the series", len(rows), len(series), 1, False)
table.hold(name + ": m in the tank", [rows[r[0]][0] for r in series], [r[1] for r in series], may_level, False)
table.hold(name + ": m in the served water", [rows[r[0]][1] for r in series], [r[2] for r in series],
           may_level, False)
table.end()
