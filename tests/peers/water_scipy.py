# SPDX-License-Identifier: GPL-3.0-or-later
#
# water_scipy.py RESOLVED.cfg DAYS [RTOL [METHOD]]: the water part of the demonstration by SciPy's
# solve_ivp with its events, from the same pages and by the same route as water_cvode, for the timing in
# tests/bench/peers.sh and as a third answer.  Known: level switches, a top-off pump, draws; no
# dated events.  Prints the lines of water_cvode.
import math
import re
import sys
import time

from scipy.integrate import solve_ivp

import peer
import sheets

value, at = {}, []
for line in open(sys.argv[1]):
    if m := re.match(r"(\w+) = \{", line):
        at.append(m[1])
    elif m := re.match(r"(\w+) = \(", line):
        at.append(m[1])
    elif line.startswith("{") or line.startswith(", {"):
        at.append("")
    elif re.match(r"\s*[})]", line):
        at.pop()
    elif m := re.match(r'kind = "(\w+)"', line):
        at[-1] = m[1]
    elif m := re.match(r'(\w+) = "?(-?\d+\.?\d*(?:e[+-]?\d+)?)[" ;]', line):
        value[".".join(at + [m[1]])] = float(m[2])
v = value.__getitem__


def cycle(path):
    mean, season, peak, daily, hour = (v(path + "." + k) for k in ("mean", "season", "peak_day", "daily", "peak_hour"))
    return lambda t: mean + season * math.cos(2 * math.pi * (t / 86400 - peak) / 365.25) + \
        daily * math.cos(2 * math.pi * (t / 3600 - hour) / 24)


temperature, pressure = cycle("feed.temperature"), cycle("feed.pressure")
water, air, humidity, draught = (cycle("served." + k) for k in ("water", "air", "humidity", "draught"))
feed = {k: v("feed." + k) for k in peer.NAMES[:11]}
grid = [peer.Water(feed, 0.5 * i).osmolarity() for i in range(121)]
RO = {a: v("train.membrane." + b) for a, b in (
    ("area", "area"), ("path", "path"), ("spacer", "spacer"), ("porosity", "porosity"),
    ("A", "water_permeability"), ("B", "salt_permeability"), ("leak", "leak"), ("U", "water_activation"),
    ("U_cold", "water_activation_cold"), ("Us", "salt_activation"), ("film", "polarization"))}
EPS = 1 - v("train.resin.packing") * (1 - v("train.resin.voids"))


def osmolarity(t):
    i = int(2 * t)
    return grid[i] + (2 * t - i) * (grid[i + 1] - grid[i])


class Line:
    """The operating point at a time; one unknown, the feed flow, by the secant."""

    def __init__(self, t):
        self.celsius = temperature(t)
        self.m = sheets.Membrane(self.celsius, osmolarity(self.celsius), **RO)
        self.ps, self.thick = pressure(t), self.m.mu / peer.viscosity(20.0)

    def flux(self, p, pi, k):
        m, drive = self.m, p
        J, last, f_last = m.At * (drive - pi), 0.0, m.At * drive
        for _ in range(30):
            E = math.exp(J / k)
            b = m.Bt + m.leak * J
            f = m.At * (drive - pi * E * J / (J + b * E)) - J
            if abs(f) < 1e-14 * J or J == last:
                break
            J, last, f_last = J - f * (J - last) / (f - f_last), J, f
        return J, b * E / (J + b * E)

    def made(self, feed, P, Pp, strips=2):
        m, D = self.m, peer.diffusivity("NaCl", self.celsius)

        def slope(q, p, n):
            J, through = self.flux(p - Pp, m.pi_n * n / q, m.film_of(q, D))
            u = q / m.section
            fall = 6.23 * (m.rho * u * m.d / m.mu)**-0.3 * m.rho * u * u / (2 * m.d) * m.path
            return -J * m.area, -fall, -J * m.area * through * n / q
        y, h = (feed, P, feed * m.n), 1 / strips
        for _ in range(strips):
            k1 = slope(*y)
            k2 = slope(*(a + h / 2 * b for a, b in zip(y, k1)))
            k3 = slope(*(a + h / 2 * b for a, b in zip(y, k2)))
            k4 = slope(*(a + h * b for a, b in zip(y, k3)))
            y = tuple(a + h / 6 * (p + 2 * q + 2 * r + s) for a, p, q, r, s in zip(y, k1, k2, k3, k4))
        return feed - y[0]

    def over(self, Q):
        m, rho = self.m, self.m.rho
        bore = 0.62 * math.pi / 4 * v("feed.valve_bore")**2
        Pm = self.ps - 0.5 * rho * (Q / bore)**2 - Q * self.thick * (
            v("train.sediment.resistance") + v("train.carbon.resistance"))
        u = Q / m.section
        loss = 6.23 * (rho * u * m.d / m.mu)**-0.3 * rho * u * u / (2 * m.d) * m.path
        drain = v("train.membrane.restrictor_flow") * \
            ((Pm - loss) / v("train.membrane.restrictor_pressure"))**v("train.membrane.restrictor_exponent") * \
            (peer.viscosity(25.0) / m.mu)**v("train.membrane.restrictor_viscosity")
        product = Q - drain
        u, d = product / (v("train.resin.volume") / v("train.resin.depth")), v("train.resin.bead")
        bed = v("train.resin.depth") * (150 * m.mu * (1 - EPS)**2 * u / (EPS**3 * d * d) +
                                        1.75 * (1 - EPS) * rho * u * u / (EPS**3 * d))
        w = product / (math.pi / 4 * v("storage.tube_bore")**2)
        tube = 64 * m.mu / (rho * abs(w) * v("storage.tube_bore")) * v("storage.tube_length") / \
            v("storage.tube_bore") * rho * w * abs(w) / 2
        Pp = v("storage.check_opening") + bed + tube + rho * peer.G * v("storage.inlet_height")
        return self.made(Q, Pm, Pp) - product, product, drain

    def flows(self, guess):
        a, b = guess, guess * 1.0005
        fa, fb = self.over(a), self.over(b)
        for _ in range(20):
            if abs(b - a) < 1e-13 * b or fb[0] == fa[0]:
                break
            a, b, fa = b, b - fb[0] * (b - a) / (fb[0] - fa[0]), fb
            fb = self.over(b)
        return b, fb[1], fb[2]


class Plant:
    def __init__(self):
        self.call = self.top = False
        self.start_wet, self.stop_wet, self.top_wet = True, False, True
        self.guess, self.calls, self.drawn = 1.1e-5, 0, 0.0

    def rates(self, t, y):
        self.calls += 1
        made = drain = 0.0
        if self.call:
            self.guess, made, drain = Line(t).flows(self.guess)
        vapour = v("served.calibration") * v("served.open_surface") * \
            sheets.evaporation_of(water(t), air(t), humidity(t), draught(t)) / peer.density(water(t))
        top = v("served.topoff_flow") if self.top else 0.0
        return [made - top - self.drawn, top - vapour, made, drain, vapour, top]


def main():
    last, rtol = 86400 * float(sys.argv[2]), float(sys.argv[3]) if len(sys.argv) > 3 else 1e-6
    method = sys.argv[4] if len(sys.argv) > 4 else "RK45"
    area, p = math.pi / 4 * v("storage.diameter")**2, Plant()
    y, t = [v("storage.first") * area, v("served.volume"), 0.0, 0.0, 0.0, 0.0], 0.0
    take, every, first, rate = (v("draws.." + k) for k in ("take", "every", "first", "rate"))
    edges = sorted(e for k in range(int(last / every) + 1)
                   for e in (first + k * every, first + k * every + take / rate) if e < last) + [last]
    level = lambda y: y[0] / area
    served = lambda y: (y[1] - v("served.volume")) / v("served.surface")
    on, off, band, low = v("storage.opens_at"), v("storage.shuts_at"), v("storage.switch_band"), -v("served.topoff_below")
    began = time.process_time()
    while t < last:
        goals = [lambda t, y: level(y) - (on if p.start_wet else on + band),
                 lambda t, y: level(y) - (off - band if p.stop_wet else off),
                 lambda t, y: served(y) - (low if p.top_wet else low + v("served.topoff_band"))]
        for goal in goals:
            goal.terminal = True
        run = solve_ivp(p.rates, (t, edges[0]), y, method=method, rtol=rtol, atol=rtol * 0.1, events=goals)
        t, y = run.t[-1], run.y[:, -1]
        hit = [len(e) > 0 for e in run.t_events] if run.status == 1 else [False] * 3
        p.start_wet, p.stop_wet, p.top_wet = (a != b for a, b in zip((p.start_wet, p.stop_wet, p.top_wet), hit))
        if run.status == 0:
            edges.pop(0)
            p.drawn = rate if p.drawn == 0.0 else 0.0
        call, top = not p.stop_wet and (p.call or not p.start_wet), not p.top_wet
        for now, then, words in ((call, p.call, ("fill starts", "fill stops")), (top, p.top, ("top-off", "top-off ends"))):
            if now != then and t < last:
                print("event %.6f %s" % (t, words[0 if now else 1]))
        p.call, p.top = call, top
    print("cost %.4f s %d calls" % (time.process_time() - began, p.calls))


main()
