# SPDX-License-Identifier: GPL-3.0-or-later
#
# bladder.py FOLDER TIME VOLUME LEVEL: the water of a plant with a bladder tank, a float valve and a shut-off valve once
# more, by solve_ivp with its events, from docs/bladder.md, plant.md, shutoff.md, valve.md, and held against a results
# folder of leat: every switch of valve and bladder [s], totals [relative], level [cm] and water in the bladder [L].
import csv
import json
import math
import sys

from scipy.integrate import solve_ivp
from scipy.optimize import brentq

import peer
from year_line import Forms, Line
from year_plant import Plant

folder, may_time, may_volume, may_level = sys.argv[1], *(float(x) for x in sys.argv[2:5])
SEATS = 0.2     # of its stiction short of shut


class Through(Line):
    """The line with a float valve, and against a given pressure."""

    def tube(self, Q):
        S, a = self.p.storage, math.pi / 4 * self.p.storage["float_seat"]**2
        return Line.tube(self, Q) + 0.5 * self.rho * (Q / (0.62 * max(self.opening, 1e-9) * a))**2

    def rise(self):
        return self.rho * peer.G * self.p.storage["inlet_height"]

    def against(self, Pp, guess):
        self.back = lambda product, mode: Pp
        out = self.flows({}, guess)
        del self.back
        return out

    def delivers(self, p):
        if self.opening <= 0 or p <= self.rise():
            return 0.0
        over = lambda Q: sum(self.stage_loss(s, Q) for s in self.p.after) + self.tube(Q) + self.rise() - p
        return brentq(over, 0.0, 1e-3, xtol=1e-16, rtol=1e-13)


class Bladder(Plant):
    def __init__(self, path):
        Plant.__init__(self, path)
        self.begin()
        self.b = self.storage["bladder"]
        self.holds, self.open, self.seated = False, True, False
        self.guess, self.drawn, self.switches = 1e-5, 0.0, []
        self.n = {i: Forms(self.base, 0.5 * i).osmolarity() for i in range(81)}

    def line(self, t, V):
        T = self.temperature(t)
        i = int(2 * T)
        line = Through(self, T, self.pressure(t), self.n[i] + (2 * T - i) * (self.n[i + 1] - self.n[i]), 1.0, 1.0, 0.0)
        line.opening = 0.0 if self.seated else min(max(self.falls(V), 0.0), 1.0)
        return line

    def falls(self, V):
        return (self.storage["float_at"] - V / self.area) / self.storage["float_band"]

    def precharge(self, t):
        return self.b["precharge"] * math.exp(-self.b["precharge_loss"] * t)

    def presses(self, t, w):
        V, air = self.b["volume"], self.b["atmosphere"]
        return (self.precharge(t) + air) * V / (V - w) - air

    def rates(self, t, y):
        """Water in the bladder and the tank, feed, made, delivered, s of making."""
        w, V = y[0], y[1]
        line, Q, made = self.line(t, V), 0.0, 0.0
        if not self.holds:
            Q, made, _ = line.flows({}, self.guess)
            out = made
        else:
            p = self.presses(t, max(w, 0.0))
            out = line.delivers(p)
            if self.open:
                Q, made, _ = line.against(p + self.storage["check_opening"], self.guess)
        if Q > 0:
            self.guess = Q
        return [made - out, out - self.drawn, Q, made, out, 1.0 if made > 0 else 0.0]

    def goals(self):
        """What may end a phase, as (function, direction, what then happens)."""
        S, v = self.storage, self.storage["valve"]
        step = S["float_stiction"]
        share = lambda t, y: (self.presses(t, y[0]) + S["check_opening"]) / self.pressure(t)
        out = []
        if self.seated:
            out.append((lambda t, y: self.falls(y[1]) - (1 + SEATS) * step, 1, "opens"))
        else:
            out.append((lambda t, y: self.falls(y[1]) - SEATS * step, -1, "seats"))
        if not self.holds:
            out.append((lambda t, y: self.pressed(t, y) - self.precharge(t), 1, "fills"))
        elif self.open:
            out.append((lambda t, y: share(t, y) - v["close_ratio"], 1, "valve shut"))
        else:
            out.append((lambda t, y: share(t, y) - v["reopen_ratio"], -1, "valve open"))
        if self.holds:
            out.append((lambda t, y: y[0], -1, "bladder empty"))
            if not self.told:
                out.append((lambda t, y: y[0] - 1e-4 * self.b["volume"], 1, "bladder"))
        return out

    def pressed(self, t, y):
        line = self.line(t, y[1])
        made = line.flows({}, self.guess)[1]
        return line.back(made, {}) - self.storage["check_opening"]

    def happens(self, what, t, y):
        if what in ("opens", "seats"):
            self.seated = what == "seats"
        elif what == "fills":
            self.holds, self.told = True, False
            y[0] = 0.0
        elif what == "bladder empty":
            if self.told:
                self.switches.append((what, t))
            self.holds = False
            y[0] = 0.0
        elif what == "bladder":
            self.told = True
            self.switches.append((what, t))
        else:
            self.open = what == "valve open"
            self.switches.append((what, t))

    def stretch(self, t, end, y):
        goals = self.goals()
        events = []
        for f, direction, _ in goals:
            g = lambda t, y, f=f: f(t, y)
            g.terminal, g.direction = True, direction
            events.append(g)
        stands = self.holds and not self.open and self.seated and self.drawn == 0
        run = solve_ivp(self.rates, (t, end), y, method="RK45", rtol=1e-8, atol=1e-11, events=events,
                        first_step=min(600.0 if stands else 1.0, end - t), max_step=3600.0)
        t, y = run.t[-1], list(run.y[:, -1])
        for (_, _, what), hit in zip(goals, run.t_events):
            if len(hit):
                self.happens(what, t, y)
        return t, y

    def run(self, last):
        y, t, self.rows, self.told = [0.0, self.V, 0.0, 0.0, 0.0, 0.0], 0.0, [], False
        d = self.v["draws"][0]
        edges = sorted([86400.0 * k for k in range(1, int(last / 86400))] + [last] +
                       [d["first"] + k * d["every"] + e for k in range(1000) for e in (0.0, d["take"] / d["rate"])
                        if d["first"] + k * d["every"] + e < last])
        starts = {d["first"] + k * d["every"] for k in range(1000)}
        for edge in edges:
            while t < edge - 1e-9:
                t, y = self.stretch(t, edge, y)
            if edge in starts:
                self.drawn = d["rate"]
            elif abs(edge % 86400.0) > 1e-6:
                self.drawn = 0.0
            if abs(edge % 86400.0) < 1e-6:
                self.rows.append((edge / 86400, 100 * y[1] / self.area, 1e3 * y[0]))
        return y


leat = json.load(open(folder + "/summary.json"))
b, table = Bladder(folder + "/scenario.resolved.cfg"), peer.Table()
end = b.run(86400.0 * leat["days"])
said = [(r["kind"], 86400 * float(r["day"])) for r in csv.DictReader(open(folder + "/events.csv"))]
for kind in ("valve shut", "valve open", "bladder", "bladder empty"):
    table.hold("bladder: s of " + kind, [t for k, t in b.switches if k == kind], [t for k, t in said if k == kind],
               may_time, False)
w = leat["water"]
table.hold("bladder: L of feed, drain, product", [1e3 * end[2], 1e3 * (end[2] - end[3]), 1e3 * end[3]],
           [w["feed_L"], w["drain_L"], w["product_L"]], may_volume)
table.hold("bladder: h of making water", end[5] / 3600, w["hours_making_water"], may_volume)
series = {round(float(r["day"]), 4): r for r in csv.DictReader(open(folder + "/series.csv"))}
rows = [r for r in b.rows if r[0] in series]
for i, name in ((1, "tank_level_cm"), (2, "bladder_volume_L")):
    table.hold("bladder: %s at midnight" % name.replace("_", " "), [r[i] for r in rows],
               [float(series[r[0]][name]) for r in rows], may_level, False)
table.end()
