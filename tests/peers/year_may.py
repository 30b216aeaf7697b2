# SPDX-License-Identifier: GPL-3.0-or-later
#
# How far leat may be from year.py: as it is, and fine.  docs/peers.md says what was found.  seconds, percent, level
# [cm], salinity [g/kg] and oxidant [days] are differences, all others shares.  What is printed with few digits
# (events to 9 ms, readings to 0.001) cannot agree better.
MAY = {
    "marine": [
        dict(exact=1e-3, seconds=100, litres=0.0003, used=0.001, percent=0.1, reading=0.001, flow=0.001,
             drop=0.001, level=0.03, salinity=0.0001, oxidant=0.2, front=0.02, drain=0.0002,
             mol_diverted=0.0005, mol_drawn=0.1, mol_cartridges=0.0002, mol_held=0.002),
        dict(exact=1e-3, seconds=10, litres=0.0001, used=0.0001, percent=0.002, reading=0.0003, flow=2e-05,
             drop=0.0002, level=0.003, salinity=0.0001, oxidant=0.0005, front=0.02, drain=5e-05,
             mol_diverted=0.0003, mol_drawn=0.003, mol_cartridges=3e-05, mol_held=0.0003)],
    "hard": [
        dict(exact=1e-3, seconds=10, litres=0.0003, used=0.0003, percent=0.02, reading=0.01, flow=0.0001,
             drop=0.002, level=0.0001, salinity=0.0001, oxidant=0.001, drain=0.0003, mol_diverted=0.05,
             mol_drawn=0.003, mol_cartridges=5e-05, mol_held=0.001),
        dict(exact=1e-3, seconds=5, litres=0.0002, used=0.0001, percent=0.02, reading=0.002, flow=0.0001,
             drop=0.001, level=0.0001, salinity=0.0001, oxidant=0.001, drain=0.0002, mol_diverted=0.05,
             mol_drawn=0.0002, mol_cartridges=5e-05, mol_held=0.0002)],
    "acid": [
        dict(exact=1e-3, seconds=3, litres=0.0002, used=0.0005, percent=0.002, reading=0.0001, flow=0.001,
             drop=0.0003, level=0.0001, oxidant=0.001, front=0.1, drain=5e-05, mol_diverted=0.0002,
             mol_drawn=0.002, mol_cartridges=0.0003, mol_held=0.0002),
        # fine parcels part the rinse at stop: the program reads the last piece, year.py the whole of it
        dict(exact=1e-3, seconds=10, litres=0.0002, used=5e-05, percent=0.002, reading=0.01, flow=0.0005,
             drop=0.0003, level=0.0001, oxidant=0.001, front=0.1, drain=3e-05, mol_diverted=0.0002,
             mol_drawn=0.0005, mol_cartridges=0.0002, mol_held=0.0001)],
    "bare": [
        dict(exact=1e-3, seconds=2, litres=0.002, used=1e-05, flow=0.002, drop=0.01, level=0.0001,
             front=0.0005, mol_drawn=0.05, mol_cartridges=2e-06, mol_held=2e-05),
        dict(exact=1e-3, seconds=2, litres=0.0003, used=3e-07, flow=1e-06, drop=3e-06, level=0.0001,
             front=0.0005, mol_drawn=0.0003, mol_cartridges=1e-07, mol_held=3e-07)],
}
