#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Times a year of the water part of the demonstration, by leat, by CVODE and by SciPy, in one run, and
# says how far off each one's switches are at worst.  What the ratios mean: docs/peers.md.
# Needs: sh tests/install.sh medium
set -eu
export LC_ALL=C PYTHONDONTWRITEBYTECODE=1
cd "$(dirname "$0")/../.."
cmake -S . -B build-bench -DCMAKE_BUILD_TYPE=Release -DLEAT_BENCH=ON >/dev/null
cmake --build build-bench -j2 --target bench_water leat >/dev/null
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cc -std=gnu17 -O3 -DNDEBUG -ffp-contract=off -o "$work/cvode" tests/peers/water_cvode.c \
    tests/peers/peer_line.c tests/peers/peer_water.c tests/peers/peer_read.c -lconfig \
    -lsundials_cvode -lsundials_nvecserial -lsundials_sunnonlinsolfixedpoint -lm
# Without wear, solids, chlorine and dated events, which not all of the three know.
build-bench/leat run scenarios/demo.cfg -o "$work/out" --no-figures -q \
    --set train.membrane.wear.on=false --set 'feed.solids="0 mg/L"' --set 'feed.chlorine="0 mg/L"' \
    --set 'events=()'
/usr/bin/python3 tests/bench/peers.py build-bench/bench_water "$work/cvode" "$work/out"
