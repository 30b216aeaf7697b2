# SPDX-License-Identifier: GPL-3.0-or-later
#
# peers.py BENCH_WATER WATER_CVODE FOLDER: the table of peers.sh.  Each is run three times and the least
# processor time counts.  "off" is the worst of all switches of the year against CVODE at 1e-13.
import csv
import re
import subprocess
import sys

leat, cvode, folder = sys.argv[1:4]
resolved = folder + "/scenario.resolved.cfg"
scipy = ["/usr/bin/python3", "tests/peers/water_scipy.py", resolved, "365"]
KINDS = ("fill starts", "fill stops", "top-off", "top-off ends")


def run(*command, times=3):
    """Events, least seconds, the words about steps and calls."""
    said = [subprocess.run(command, capture_output=True, text=True, check=True).stdout for _ in range(times)]
    cost = [re.search(r"cost ([\d.]+) s (.*)", s) for s in said]
    events = re.findall(r"^event (\S+) (.*)$", said[0], re.M)
    return [(float(t), k) for t, k in events], min(float(c[1]) for c in cost), cost[0][2]


true = run(cvode, resolved, "1e-13", "16", times=1)[0]
rows = [("leat, 1e-6", *run(leat, resolved))]
rows[0] = ("leat, 1e-6", [(86400 * float(r["day"]), r["kind"]) for r in csv.DictReader(open(folder + "/events.csv"))
                          if r["kind"] in KINDS], *rows[0][2:])
for tolerance in ("1e-6", "1e-8", "1e-10"):
    rows.append(("CVODE, " + tolerance, *run(cvode, resolved, tolerance, "2")))
for method, tolerance in (("RK45", "1e-6"), ("RK45", "1e-7"), ("LSODA", "1e-6"), ("LSODA", "1e-9")):
    rows.append(("SciPy %s, %s" % (method, tolerance), *run(*scipy, tolerance, method)))

print("%-20s %9s %10s %12s   %s" % ("", "s a year", "over leat", "off at worst", "work"))
for name, events, seconds, work in rows:
    same = [e[1] for e in events] == [e[1] for e in true]
    off = "%.3g s" % max(abs(a[0] - b[0]) for a, b in zip(events, true)) if same else "other events"
    print("%-20s %9.4f %10.2f %12s   %s" % (name, seconds, seconds / rows[0][2], off, work))
