#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Builds the release with the benchmark and runs it on a scenario (default: the demonstration).
set -eu
cd "$(dirname "$0")/../.."
cmake -S . -B build-bench -DCMAKE_BUILD_TYPE=Release -DLEAT_BENCH=ON >/dev/null
cmake --build build-bench -j2 --target bench >/dev/null
exec build-bench/bench "${1:-scenarios/demo.cfg}"
