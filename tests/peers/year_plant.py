# SPDX-License-Identifier: GPL-3.0-or-later
#
# A plant through a step, for year.py: levels, prefilters, membrane with what stands in it and what wears it.
# docs/plant.md, wear.md, holdup.md, carbon.md, sediment.md, basin.md.  Flows are those of the middle of a step; a
# step ends where a level is reached.
import datetime
import math
import re

import numpy as np

import peer
import sheets
import vessels
from year_line import ALL, CA, CARBON, CHLORIDE, CL2, NH2CL, NH4, Forms, Line
from year_read import cycle, parse

CALCITE = 36.93e-6
CL2_KG = 0.070906
AREA_OF = dict(upright=lambda s: math.pi / 4 * s["diameter"]**2, box=lambda s: s["length"] * s["width"])


class Plant:
    def __init__(self, path, **numbers):
        v = self.v = parse(path)
        self.feed, self.storage, self.control = v["feed"], v["storage"], v["control"]
        date = re.search(r'start = "(\d+)-(\d+)-(\d+)"', open(path).read())
        day = datetime.date(*(int(x) for x in date.groups())).timetuple().tm_yday - 1
        self.temperature, self.pressure = cycle(self.feed["temperature"], day), cycle(self.feed["pressure"], day)
        self.served = v.get("served")
        if self.served:
            self.room = {k: cycle(self.served[k], day) for k in ("water", "air", "humidity", "draught")}
        kinds = [s["kind"] for s in v["train"]]
        m = kinds.index("membrane") if "membrane" in kinds else -1
        self.membrane = v["train"][m] if m >= 0 else None
        self.before, self.after = (v["train"][:m], v["train"][m + 1:]) if m >= 0 else ([], v["train"])
        pre = self.before if m >= 0 else self.after
        self.sediment, self.carbon = (next((s for s in pre if s["kind"] == k), None) for k in ("sediment", "carbon"))
        self.resins = [s for s in self.after if s["kind"] == "resin"]
        self.making_step, self.rest_step = numbers.get("making", 1200.0), numbers.get("rest", 7200.0)
        self.first_step, self.ran = numbers.get("first", 15.0), 0.0
        self.bed_parcel, self.order = numbers.get("bed_parcel", 8e-3), numbers.get("order", 2)
        self.area = AREA_OF[self.storage["shape"]](self.storage)
        self.base = [self.feed.get(k, 0.0) for k in ALL]

    # ---- carried amounts ------------------------------------------------------------------------

    def begin(self):
        self.t, self.V, self.Vs = 0.0, self.storage["first"] * self.area, 0.0
        self.M, self.u = 0.0, 1.0
        # Loose and set deposit, biofilm, mol of calcite, dose, s of service and in all.
        self.wear = dict(c=0.0, l=0.0, o=0.0, N=0.0, D=0.0, run=0.0, age=0.0)
        self.x, self.y = [0.0] * len(ALL), [0.0] * len(ALL)
        self.call = self.top = False
        level = self.storage["first"]
        self.start_wet, self.stop_wet, self.top_wet = level > self.storage["opens_at"], level >= self.storage["shuts_at"], True
        self.power = self.supply = True
        self.phase, self.until, self.divert_until, self.since = "idle", math.inf, -1.0, 0.0
        self.draws = [[d["first"], d, False] for d in self.v.get("draws", [])]
        self.drawn = 0.0
        self.taken_out = np.zeros(len(ALL))
        self.flush_left, self.flushed = 0.0, ""
        self.guess = {}
        self.total = dict.fromkeys(("feed", "drain", "product", "diverted", "vapour", "top", "drawn", "making",
                                    "energy", "rinsed"), 0.0)
        self.total["starts"] = 0
        self.to = {k: np.zeros(len(ALL)) for k in ("drain", "diverted", "fed", "rinse")}
        self.log, self.events, self.marks, self.days, self.first = [], [], [], [], {}
        self.feel, self.known = None, {}
        if self.served:
            S, V, t = self.served["salinity"], self.served["volume"], self.room["water"](0.0)
            self.salt = S * vessels.sea_density(S, t) * V / 1000
            self.Vs = V

    def factors(self):
        if not self.membrane:
            return 1.0, 1.0
        w, k = self.wear, self.membrane["wear"]
        if not k["on"]:
            return 1.0, 1.0
        a = (1 - k["creep"] * (1 - math.exp(-w["run"] / k["creep_time"]))) * \
            min(3.0, 1 + k["oxidant_swelling"] * max(0.0, w["D"] / 1e-3 - k["oxidant_threshold"])) / \
            (1 + w["c"] + w["l"] + w["o"] + w["N"] * CALCITE / (self.membrane["area"] * k["scale_halving"]))
        return a, math.exp(min(7.0, math.log(2) * w["D"] / 1e-3 / k["oxidant_doubling"] + k["ageing"] * w["age"]))

    def clogged(self):
        return self.M / self.sediment["capacity"] if self.sediment else 0.0

    def behind_carbon(self, T, Q, u):
        """Composition that reaches the membrane (or resin), and what the block takes of sites per m3."""
        c = list(self.base)
        if not self.carbon or not (c[CL2] or c[NH2CL]):
            return c, 0.0
        k, f = self.carbon, self.carbon["ammonia_share"]
        fit = math.exp(-k["activation"] * (1 / (T + 273.15) - 1 / 293.15)) * k["volume"] / Q * max(u, 0.0)
        cl = c[CL2] * (1 - math.exp(-k["chlorine_rate"] * fit))
        ca = c[NH2CL] * (1 - math.exp(-k["chloramine_rate"] * fit))
        c[CL2] -= cl
        c[NH2CL] -= ca
        c[CHLORIDE] += cl + ca
        c[NH4] += f * ca
        return c, cl + (1.5 * f - 0.5) * ca

    # ---- a step ---------------------------------------------------------------------------------

    def mode(self):
        """How the line is driven now, or None."""
        if not self.power or not self.supply:
            return None
        if self.phase in ("idle", "push") and not self.flush_left > 0:
            return None
        wide = self.phase in ("first", "rinse", "last")
        divert = self.phase in ("first", "make") and self.t < self.divert_until - 1e-9
        if self.flush_left > 0:
            wide, divert = False, self.flushed == "membrane"
        return dict(bypass=self.control.get("rinse_bypass", 1.0) if wide else 1.0, divert=divert,
                    flush=self.flush_left > 0 and not divert)

    def rates(self, dt, mode):
        mid = self.t + 0.5 * dt
        T, ps = self.temperature(mid), self.pressure(mid)
        r = dict(T=T, Q=0.0, Qp=0.0)
        if mode:
            key = tuple(sorted(mode.items()))
            c = self.behind_carbon(T, self.guess.get(key, (1.2e-5,))[0], self.u)[0]
            n = self.osmolarity(c, T)
            line = r["line"] = Line(self, T, ps, n, *self.factors(), self.clogged())
            r["Q"], r["Qp"], r["P"] = self.guess[key] = line.flows(mode, self.guess.get(key, (1.2e-5,))[0])
        r["top"] = self.served["topoff_flow"] if self.served and self.top and self.power else 0.0
        r["push"] = self.control["rinse_flow"] if self.phase == "push" and self.power else 0.0
        r["vapour"] = 0.0
        if self.served:
            tw = self.room["water"](mid)
            r["vapour"] = self.served["calibration"] * self.served["open_surface"] * sheets.evaporation_of(
                tw, self.room["air"](mid), self.room["humidity"](mid), self.room["draught"](mid)) / peer.density(tw)
        r["in"] = 0.0 if not mode or mode["divert"] or mode["flush"] else r["Qp"]
        r["dV"] = r["in"] - r["top"] - self.drawn - r["push"]
        return r

    def osmolarity(self, c, T):
        i = math.floor(4 * T)
        for j in (i, i + 1):
            if j not in self.known:
                self.known[j] = Forms(self.behind_carbon(T, 1e-9, 1.0)[0], 0.25 * j).osmolarity()
        return self.known[i] + (4 * T - i) * (self.known[i + 1] - self.known[i])

    def reach(self, r):
        """Seconds to the next level at these rates."""
        S, h = self.storage, self.V / self.area
        goals = [((S["opens_at"] + (0.0 if self.start_wet else S["switch_band"]) - h) * self.area, r["dV"], self.start_wet),
                 ((S["shuts_at"] - (S["switch_band"] if self.stop_wet else 0.0) - h) * self.area, r["dV"], self.stop_wet)]
        if self.served:
            s = self.served
            level = (self.Vs - s["volume"]) / s["surface"]
            to = -s["topoff_below"] + (0.0 if self.top_wet else s["topoff_band"])
            goals.append(((to - level) * s["surface"], r["top"] - r["vapour"], self.top_wet))
        best, which = math.inf, None
        for i, (way, rate, wet) in enumerate(goals):
            if (rate < 0 and wet) or (rate > 0 and not wet):
                dt = max(way / rate, 0.0)
                if dt < best:
                    best, which = dt, i
        return best, which

    def advance(self, end):
        mode = self.mode()
        # What stood in the membrane comes out in the first two minutes.
        dt = min(end - self.t, min(self.making_step, max(self.first_step, self.ran)) if mode else
                 3.0 if self.phase == "push" else self.rest_step)
        r = self.rates(dt, mode)
        which = None
        for _ in range(6):
            way, hit = self.reach(r)
            if which is None and way > dt:
                break
            if which is not None and abs(way - dt) < 1e-7 * max(dt, 1.0):
                break
            dt, which = way, hit
            r = self.rates(dt, mode)
        self.carry(dt, r, mode)
        self.ran = self.ran + dt if mode else 0.0
        self.t += dt
        if which is not None:
            flag = ("start_wet", "stop_wet", "top_wet")[which]
            setattr(self, flag, not getattr(self, flag))
        return which is not None

    def carry(self, dt, r, mode):
        tot, V0 = self.total, self.V
        out = (r["top"] + self.drawn + r["push"]) * dt
        self.V += r["dV"] * dt
        if self.served:
            self.Vs += (r["top"] - r["vapour"]) * dt
        for key, q in (("feed", r["Q"]), ("vapour", r["vapour"]), ("top", r["top"]), ("drawn", self.drawn),
                       ("rinsed", r["push"])):
            tot[key] += q * dt
        called = self.power and self.phase not in ("idle", "push") or self.power and self.flush_left > 0
        tot["energy"] += dt * (self.storage["solenoid_power"] * called +
                               (self.served["topoff_power"] if r["top"] > 0 else 0.0))
        c = None
        if mode:
            tot["making"] += dt
            c = self.through_line(dt, r, mode)
            tot["starts"] += self.ran == 0
            self.flush_left -= dt if self.flush_left > 0 else 0.0
            self.since += dt if self.phase == "make" else 0.0
        elif self.membrane:
            self.rest(dt, r["T"], r["push"])
        way = None if not mode or mode["divert"] else "flush" if mode["flush"] else "tank"
        if hasattr(self, "tank"):
            self.tank.step(dt, V0, self.V, r["in"] * dt, c, (self.drawn, r["top"], r["push"]))
        self.log.append((self.t, dt, r["Qp"] * dt if way else 0.0, c, r["T"], r["Qp"], way, V0, self.V, out,
                         (self.drawn, r["top"], r["push"])))

    def through_line(self, dt, r, mode):
        """What a step of flow does to stages and membrane; the water that goes on."""
        Q, Qp, T, v = r["Q"], r["Qp"], r["T"], r["Q"] * dt
        solids = self.feed.get("solids", 0.0)
        if self.sediment:
            kept = min(self.sediment["capture"] * solids * v, self.sediment["capacity"] - self.M)
            self.M += kept
            solids -= kept / v
        c, taken = self.behind_carbon(T, Q, self.u)
        if self.carbon and taken:
            N = self.carbon["capacity"] / CL2_KG
            c, taken = self.behind_carbon(T, Q, self.u - 0.5 * taken * v / N)
            self.u = max(0.0, self.u - taken * v / N)
        self.oxidant = (c[CL2] + c[NH2CL]) * CL2_KG
        self.note("oxidant", self.oxidant > 1e-4)
        self.to["fed"] += np.array(self.base) * v
        if not self.membrane:
            self.total["product"] += v
            return c
        m = r["line"].m
        cp, cc, wall = self.parts(m, c, Q, Qp, T, mode)
        if self.x is None:
            self.x, self.y = list(c), list(c)
        grown = self.wears(dt, m, Q, Qp, c, solids, wall, mode)
        cc = list(cc)
        for i in (CA, CARBON):
            cc[i] = max(0.0, cc[i] - grown / ((Q - Qp) * dt))
        h, vp, vc = self.membrane["holdup"], Qp * dt, (Q - Qp) * dt
        e, f = math.exp(-vp / h["permeate"]), math.exp(-vc / h["feed"])
        product = [a + (b - a) * (1 - e) * h["permeate"] / vp for a, b in zip(cp, self.x)]
        waste = [a + (b - a) * (1 - f) * h["feed"] / vc for a, b in zip(cc, self.y)]
        self.x = [a + (b - a) * e for a, b in zip(cp, self.x)]
        self.y = [a + (b - a) * f for a, b in zip(cc, self.y)]
        self.to["drain"] += np.array(waste) * vc
        self.total["drain"] += vc
        if mode["divert"] or mode["flush"]:
            self.total["diverted"] += vp
        else:
            self.total["product"] += vp
        if mode["divert"]:
            self.to["diverted"] += np.array(product) * vp
        self.permeate = product
        return product

    def parts(self, m, c, Q, Qp, T, mode):
        """What passes, as shares of what comes; asked anew where something has moved by a thousandth."""
        now = (Qp, Q, T + 273.15, mode["bypass"], m.B / m.A, c[CL2])
        if self.feel is None or any(abs(a - b) > lim * abs(b) + 1e-12 for a, b, lim in
                                    zip(now, self.feel[0], (1e-3, 1e-3, 1e-4, 1e-9, 1e-3, 0.02))):
            cp, cc = m.split(c, Q, Qp)
            shares = [a / b if b > 0 else 0.0 for a, b in zip(cp, c)]
            self.feel = (now, shares, m.at_wall(cc, Q, Qp) if c[CA] > 0 else 0.0)
        cp = [a * b for a, b in zip(self.feel[1], c)]
        return cp, [(Q * a - Qp * b) / (Q - Qp) for a, b in zip(c, cp)], self.feel[2]

    def wears(self, dt, m, Q, Qp, c, solids, wall, mode):
        k, w = self.membrane["wear"], self.wear
        if not k["on"]:
            return 0.0
        rinse = 0.0
        if mode["bypass"] > 1.0:
            rinse = k["rinse_rate"] * (Q / m.section / k["rinse_speed"])**k["rinse_exponent"]
        self.deposit(dt, solids * Qp / m.area / k["solids_halving"], rinse)
        w["D"] += (c[CL2] + k["chloramine_weight"] * c[NH2CL]) * CL2_KG * dt
        w["run"] += dt
        w["age"] += dt
        grown = max(0.0, k["scale_growth"] / CALCITE * m.area * (wall - 1)) * dt
        w["N"] += grown
        return grown

    def deposit(self, dt, g, rinse):
        k, w = self.membrane["wear"], self.wear
        f, a = k["reversible_share"], 1 / k["consolidation"]
        rate = a + rinse
        if dt <= 0:
            return
        e = math.exp(-rate * dt)
        end = f * g / rate + (w["c"] - f * g / rate) * e
        mean = f * g / rate + (w["c"] - f * g / rate) * -math.expm1(-rate * dt) / (rate * dt)
        w["l"] += (1 - f) * g * dt + a * mean * dt
        w["c"] = end

    def rest(self, dt, T, push):
        if self.x is None:
            self.x = self.y = self.behind_carbon(T, 1e-9, 1.0)[0]
        k, w, h = self.membrane["wear"], self.wear, self.membrane["holdup"]
        fA, fB = self.factors()
        m = Line(self, T, 1e5, 1.0, fA, fB, 0.0).m
        Vp, Vf = h["permeate"], h["feed"]
        shares = []
        for i, name in enumerate(ALL):
            rel = self.membrane["passage_" + name] if name in ("silica", "chlorine", "chloramine") else 1.0
            s = -math.expm1(-dt * (Vp + Vf) * rel * m.B * m.area / (Vp * Vf))
            shares.append(s * (self.y[i] - self.x[i]) / (Vp + Vf))
        self.x = [a + b * Vf for a, b in zip(self.x, shares)]
        self.y = [a - b * Vp for a, b in zip(self.y, shares)]
        rinse = 0.0
        if push > 0:
            c, v = list(self.tank_water()), push * dt
            f = math.exp(-v / Vf)
            self.to["drain"] += np.array([b * v + (a - b) * (1 - f) * Vf for a, b in zip(self.y, c)])
            self.y = [b + (a - b) * f for a, b in zip(self.y, c)]
            rinse = k["rinse_rate"] * (push / m.section / k["rinse_speed"])**k["rinse_exponent"]
        if not k["on"]:
            return
        self.deposit(dt, 0.0, rinse)
        w["age"] += dt
        w["o"] += k["biofilm"] * dt
        left, rate = dt, k["scale_growth"] / CALCITE * m.area
        while left > 0 and self.y[CA] > 0 and self.y[CARBON] > 0:
            step = min(left, 1800.0)
            O = Forms(self.y, T).calcite()
            if O <= 1:
                break
            half = list(self.y)
            for i in (CA, CARBON):
                half[i] = max(0.0, half[i] - 0.5 * step * rate * (O - 1) / Vf)
            grown = step * rate * max(0.0, Forms(half, T).calcite() - 1)
            self.y = list(self.y)
            for i in (CA, CARBON):
                self.y[i] -= grown / Vf
            w["N"] += grown
            left -= step

    def note(self, what, there):
        if there and what not in self.first:
            self.first[what] = self.t

    def tank_water(self):
        return self.tank.c() if hasattr(self, "tank") else [0.0] * len(ALL)
