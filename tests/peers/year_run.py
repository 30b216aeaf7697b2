# SPDX-License-Identifier: GPL-3.0-or-later
#
# A year of a plant, for year.py: what is due and who answers; then the beds behind the membrane, then the tank.
# docs/control.md, docs/tank.md, docs/parcel.md, docs/gas.md.
import math

import numpy as np
from scipy.optimize import brentq

import peer
import vessels
from year_beds import Bed
from year_line import ALL, CA, CARBON, Forms, Line, reading
from year_plant import Plant


class Tank:
    """Mixed, with the air above it."""

    def __init__(self, plant):
        S = plant.storage
        self.n, self.V = np.zeros(len(ALL)), S["first"] * plant.area
        g, T = S["gas"], S["temperature"] + 273.15
        kh = 10**(108.3865 + 0.01985076 * T - 6919.53 / T - 40.45154 * math.log10(T) + 669365 / T**2)
        self.t, self.there = S["temperature"], 1e3 * kh * g["carbon_dioxide"]
        self.rate = g["film"] * g["enhancement"] * plant.area if S["open_to_air"] else 0.0
        self.out, self.air, self.like = {k: np.zeros(len(ALL)) for k in ("drawn", "top", "push")}, 0.0, None

    def c(self):
        return self.n / self.V

    def breathe(self, dt):
        if self.rate == 0:
            return
        def slope(C):
            c = list(self.n / self.V)
            c[CARBON] = max(C, 0.0)
            self.like = Forms(c, self.t, self.like)
            return self.rate / self.V * (self.there - self.like.co2)
        while dt > 0:
            h = min(dt, 3600.0)
            C = self.n[CARBON] / self.V
            k1 = slope(C)
            k2 = slope(C + 0.5 * h * k1)
            k3 = slope(C + 0.5 * h * k2)
            k4 = slope(C + h * k3)
            gain = h / 6 * (k1 + 2 * k2 + 2 * k3 + k4) * self.V
            self.n[CARBON] += gain
            self.air += gain
            dt -= h

    def step(self, dt, V0, V1, vin, c, parts):
        self.breathe(0.5 * dt)
        out = sum(parts) * dt
        if vin > 0 or out > 0:
            r = math.log(V1 / V0) / (V1 - V0) if abs(V1 - V0) > 1e-9 * V0 else 1 / V0
            phi = math.exp(-out * r)
            psi = V1 * -math.expm1(-vin * r) / vin if vin > 0 else 1.0
            before, came = self.n, np.array(c) * vin if vin > 0 else np.zeros(len(ALL))
            self.n = before * phi + came * psi
            left = before + came - self.n
            for key, q in zip(("drawn", "top", "push"), parts):
                if out > 0:
                    self.out[key] += left * q * dt / out
        self.V = V1
        self.breathe(0.5 * dt)


class Year(Plant):
    def run(self, days, marks=()):
        self.begin()
        self.permeate = None
        self.reference()
        end = 86400.0 * days
        if not self.resins:
            self.tank = Tank(self)
        dated = sorted([[e["at"], e] for e in self.v.get("events", [])], key=lambda e: e[0])
        rules, visits = self.v.get("replace") or {}, self.v.get("visits") or {}
        rules = {k: r for k, r in rules.items() if r}
        every = visits.get("every", 7 * 86400.0) if rules else math.inf
        visit, day, marks = every, 86400.0, [86400.0 * m for m in marks]
        due, beds = [], [s["name"] for s in self.resins]
        self.bed_rules = {k: r for k, r in rules.items() if k in beds}
        self.react()
        while self.t < end - 1e-6:
            goals = [end, self.until, day, visit] + [d[0] for d in dated[:1]] + [d[0] for d in self.draws] + \
                [d[0] for d in due[:1]] + [m for m in marks if m > self.t][:1]
            if self.phase == "make" and self.mode():
                if self.t < self.divert_until:
                    goals.append(self.divert_until)
                if self.control.get("rinse_every"):
                    goals.append(self.t + max(0.0, self.control["rinse_every"] - self.since))
            if self.flush_left > 0 and self.mode():
                goals.append(self.t + self.flush_left)
            if min(goals) > self.t + 1e-7:
                self.advance(min(goals))
            now = self.t + 1e-6
            while dated and dated[0][0] <= now:
                self.event(dated.pop(0)[1])
            while due and due[0][0] <= now:
                self.replace(due.pop(0)[1])
            for d in self.draws:
                if d[0] <= now:
                    self.drawn += -d[1]["rate"] if d[2] else d[1]["rate"]
                    d[0] += d[1]["every"] - d[1]["take"] / d[1]["rate"] if d[2] else d[1]["take"] / d[1]["rate"]
                    d[2] = not d[2]
            if self.flush_left <= 1e-6 and self.flush_left != 0:
                self.flush_left = 0.0
            if visit <= now:
                for name, rule in rules.items():
                    if name not in beds and name not in [d[1] for d in due] and self.met(name, rule):
                        due.append((visit + visits.get("delay", 0.0), name))
                if self.bed_rules:
                    self.log.append((self.t, "a visit"))
                    due.append((visit + visits.get("delay", 0.0), "the beds' turn"))
                visit += every
            self.react()
            if day <= now:
                self.days.append(self.a_day())
                day += 86400.0
            if any(abs(m - self.t) < 1e-6 for m in marks):
                self.marks.append(self.mark())
        self.marks.append(self.mark())

    # ---- who answers ----------------------------------------------------------------------------

    def event(self, e):
        what = e["what"]
        if what in ("power cut", "power back"):
            self.power = what == "power back"
            if not self.power:
                self.phase, self.until, self.divert_until = "idle", math.inf, -1.0
        elif what in ("supply cut", "supply back"):
            self.supply = what == "supply back"
        elif what == "replace":
            self.replace(e["stage"])

    def replace(self, name):
        if name == "the beds' turn":
            self.log.append((self.t, name))
            return
        self.events.append((self.t, "replaced", name))
        times = self.v.get("commissioning") or {}
        if self.sediment and name == self.sediment["name"]:
            self.M = 0.0
        elif self.carbon and name == self.carbon["name"]:
            self.u = 1.0
        elif self.membrane and name == self.membrane["name"]:
            h = self.membrane["holdup"]
            self.taken_out += np.array(self.x) * h["permeate"] + np.array(self.y) * h["feed"]
            for i in (CA, CARBON):
                self.taken_out[i] += self.wear["N"]
            self.wear = dict.fromkeys(self.wear, 0.0)
            self.x, self.y = [0.0] * len(ALL), [0.0] * len(ALL)
            self.permeate = None
            self.reference()
            self.flush("membrane", times.get("membrane", 0.0))
        else:
            self.log.append((self.t, name))
            self.flush("resin", times.get("resin", 0.0))

    def reference(self):
        if self.membrane:
            line, flows = self.freely()
            self.new = self.standard(line, *flows)

    def flush(self, what, lasts):
        self.flush_left, self.flushed = lasts, what
        if lasts > 0:
            self.phase, self.until, self.divert_until = "idle", math.inf, -1.0

    def react(self):
        c = self.control
        if not self.power:
            return
        wants = not self.stop_wet and (self.call or not self.start_wet)
        if wants and not self.call:
            self.events.append((self.t, "fill starts", ""))
        elif self.call and not wants:
            self.events.append((self.t, "fill stops", ""))
        self.call = wants
        if self.served:
            top = not self.top_wet
            if top != self.top:
                self.events.append((self.t, "top-off" if top else "top-off ends", ""))
            self.top = top
        if self.flush_left > 0:
            return
        for _ in range(4):
            over = self.t >= self.until - 1e-6
            if self.phase in ("idle",) and self.call:
                self.enter("first", c.get("rinse_at_start", 0.0))
                if c.get("rinse_at_start"):
                    self.since = 0.0
                self.divert_until = self.until + c["divert"] if c.get("divert") else -1.0
            elif self.phase == "first" and self.call and over:
                self.enter("make", math.inf)
            elif self.phase == "rinse" and self.call and over:
                self.enter("make", math.inf)
                self.since = 0.0
            elif self.phase in ("first", "make", "rinse") and not self.call:
                self.enter("push" if c.get("rinse_with") == "permeate" else "last", c.get("rinse_at_stop", 0.0))
            elif self.phase in ("last", "push") and over:
                self.enter("idle", math.inf)
            elif self.phase == "make" and c.get("rinse_every") and self.since >= c["rinse_every"] - 1e-6:
                self.enter("rinse", c["rinse_for"])
            else:
                break

    def enter(self, phase, lasts):
        self.phase, self.until = phase, self.t + lasts

    # ---- a person who looks, and what is written down -------------------------------------------

    def freely(self):
        """The line as it would make water at this moment."""
        T, ps = self.temperature(self.t), self.pressure(self.t)
        c = self.behind_carbon(T, 1.2e-5, self.u)[0]
        line = Line(self, T, ps, self.osmolarity(c, T), *self.factors(), self.clogged())
        return line, line.flows(dict(bypass=1.0, divert=False, flush=False), 1.2e-5)

    def met(self, name, rule):
        if self.sediment and name == self.sediment["name"]:
            line, (Q, _, _) = self.freely()
            return line.stage_loss(self.sediment, Q) >= rule["pressure_drop"]
        if self.carbon and name == self.carbon["name"]:
            return getattr(self, "oxidant", 0.0) >= rule["oxidant"]
        line, flows = self.freely()
        return self.standard(line, *flows) / self.new <= rule["flow"]

    def standard(self, line, Q, Qp, P):
        """Flow over net pressure at the wall and temperature factor: up to a constant the standardised flow."""
        m, Y = line.m, Qp / Q
        wall = m.n * math.log(1 / (1 - Y)) / Y * math.exp(Qp / m.area / m.k(Q - 0.5 * Qp))
        net = P - 0.5 * m.fall(Q) - line.back(Qp, {}) - peer.osmotic_pressure(wall, m.t)
        return Qp / (net * m.TCF)

    def a_day(self):
        line, (Q, Qp, P) = self.freely()
        drop = line.stage_loss(self.sediment, Q) if self.sediment else 0.0
        flow = self.standard(line, Q, Qp, P) / self.new if self.membrane else 1.0
        shows = reading(self.permeate) if self.membrane and self.permeate and not self.mode() else math.nan
        return dict(day=self.t / 86400, standard=100 * flow, flow=6e7 * Qp, drop=drop / 1e3,
                    level=100 * self.V / self.area, salinity=self.salinity(), permeate=shows, running=bool(self.mode()))

    def salinity(self):
        if not self.served:
            return 0.0
        t = self.room["water"](self.t)
        return brentq(lambda S: vessels.sea_density(S, t) * S * self.Vs / 1000 - self.salt, 0, 300, xtol=1e-12)

    def mark(self):
        self.log.append((self.t, None))
        return dict(day=self.t / 86400, out_membranes=self.taken_out.copy(), total=dict(self.total), wear=dict(self.wear), factors=self.factors(),
                    sediment=self.clogged(), carbon=1 - self.u,
                    to={k: v.copy() for k, v in self.to.items()}, x=self.x, y=self.y,
                    tank=self.tank.n.copy() if not self.resins else None,
                    out={k: v.copy() for k, v in self.tank.out.items()} if not self.resins else None,
                    air=self.tank.air if not self.resins else 0.0)

    # ---- beds, then tank ------------------------------------------------------------------------

    def beds(self):
        """Takes the log through the resins and the tank, and completes the marks."""
        kinds = [i for i in range(11) if self.base[i] > 0 or (i == 4 and self.base[12] > 0)]
        if self.base[11] > 0 and 5 not in kinds:
            kinds.append(5)
        kinds.sort()
        self.kinds = kinds
        new = lambda: {s["name"]: Bed(s, kinds, self.order) for s in self.resins}
        beds, old = new(), np.zeros(len(ALL))
        diverted, tank, marks = np.zeros(len(ALL)), Tank(self), iter(self.marks)
        self.at, self.ends, self.out, chunk, waiting, volume = [], [], [], [], [], 0.0
        passed, behind, ordered = 0.0, {}, []

        def through():
            nonlocal chunk, waiting, volume, passed, diverted
            rows = np.array([p[0] for p in chunk]) if chunk else None
            if chunk:
                for s in self.resins:
                    rows = beds[s["name"]].run([(r, *p[1:]) for r, p in zip(rows, chunk)])
                    behind[s["name"]] = rows[-1]
                for r, p in zip(rows, chunk):
                    passed += p[3]
                    self.out.append((passed, r, p))
            for row, which in waiting:
                t, dt, v, c, T, q, way, V0, V1, out, parts = row
                water = rows[which] if v > 0 else None
                if way == "flush":
                    diverted = diverted + water * v
                    v = 0.0
                tank.step(dt, V0, V1, v, water, parts)
            chunk, waiting, volume = [], [], 0.0

        part = []

        def close():
            nonlocal part, volume
            if part:
                V = sum(r[2] for r in part)
                c = sum(np.array(r[3]) * r[2] for r in part) / V
                mean = lambda i: sum(r[i] * r[2] for r in part) / V
                chunk.append((c, mean(4), mean(5), V))
                # A flush is not read: (when, which of those that were).
                if part[-1][6] == "tank":
                    self.at.append((part[-1][0] + part[-1][1], len(self.out) + len(chunk) - 1))
                part, volume = [], 0.0
        for row in self.log:
            if len(row) == 2:
                close()
                through()
                if row[1] is None:
                    mark = next(marks)
                    mark.update(tank=tank.n.copy(), out={k: v.copy() for k, v in tank.out.items()}, air=tank.air,
                                flushed=diverted.copy(), old=old.copy(),
                                resin={n: b.held() for n, b in beds.items()}, used={n: b.used() for n, b in beds.items()})
                elif row[1] == "a visit":
                    ordered += [k for k, r in self.bed_rules.items()
                                if k in behind and k not in ordered and reading(behind[k]) >= 1e3 * r["reading"]]
                else:
                    for name in ordered if row[1] not in beds else [row[1]]:
                        old = old + beds[name].held()
                        beds[name] = new()[name]
                        self.ends.append((row[0] / 86400, name, passed))
                    if row[1] not in beds:
                        ordered = []
                continue
            if row[2] > 0:
                fresh = not part or waiting[-1][1] < 0 or part[-1][6] != row[6]
                if part and (fresh or volume + row[2] > self.bed_parcel or
                             part[0][0] == begun and row[0] > begun + 110.0):
                    close()
                if fresh:
                    begun = row[0]
                part.append(row)
                volume += row[2]
                waiting.append((row, len(chunk)))
            else:
                waiting.append((row, -1))
        self.beds_end = beds
