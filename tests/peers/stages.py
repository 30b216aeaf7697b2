# SPDX-License-Identifier: GPL-3.0-or-later
#
# stages.py PROBE: single stages once more, with SciPy, from the pages docs/ alone.  Each comparison
# is a line: what, the second answer, leat's, how far apart (relative unless said), how far it may be.
# Where leat's answer converges with a number of segments or parcels it is asked at two of them.
import sys

import numpy as np

import beds
import peer
import sheets
import vessels

probe, table = peer.Probe(sys.argv[1]), peer.Table()
rng = np.random.default_rng(20260101)
print("%-6s %-58s %14s %14s %9s %8s" % ("", "what", "second answer", "leat", "apart", "may be"))
for part in (sheets.all_of_them, beds.all_of_them, vessels.all_of_them):
    part(probe, table, rng)
table.end()
