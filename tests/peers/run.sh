#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# medium
#
# Holds leat against second solutions that were written from the pages docs/ alone (docs/peers.md):
#   sh tests/peers/run.sh [PROGRAM [MODELS]]      a built leat and libmodels.a; else both are built
# A line a comparison: what, second answer, leat's, how far apart, how far it may be.
# Needs libsundials-dev, python3-numpy and python3-scipy (sh tests/install.sh medium); says so if
# they are not there, and fails.
set -u
export LC_ALL=C PYTHONDONTWRITEBYTECODE=1
cd "$(dirname "$0")/../.." || exit 66

# Debian's python, which has Debian's SciPy.
python=/usr/bin/python3
$python -c 'import numpy, scipy' 2>/dev/null && [ -e /usr/include/cvode/cvode.h ] || {
    echo "peers: SUNDIALS or SciPy is missing: sh tests/install.sh medium" >&2
    echo "0 passed, 1 failed"
    exit 1
}

leat=${1-}
models=${2-}
if [ -z "$leat" ] || [ -z "$models" ]; then
    cmake -S . -B build-peers -DCMAKE_BUILD_TYPE=Release >/dev/null || exit 70
    cmake --build build-peers -j2 --target leat models >/dev/null || exit 70
    leat=${leat:-build-peers/leat}
    models=build-peers/libmodels.a
fi

work=$(mktemp -d) || exit 73
trap 'rm -rf "$work"' EXIT
flags='-std=gnu17 -O2 -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror -ffp-contract=off'
here=tests/peers
# shellcheck disable=SC2086 # several words
cc $flags -o "$work/water" $here/water_cvode.c $here/peer_line.c $here/peer_water.c \
    $here/peer_read.c -lconfig -lsundials_cvode -lsundials_nvecserial \
    -lsundials_sunnonlinsolfixedpoint -lm &&
    cc $flags -I. -o "$work/probe" $here/probe.c $here/probe_beds.c "$models" -lm || exit 70

# water NAME SCENARIO TIME VOLUME LEVEL CHANGES...: a year of leat's, and the same by CVODE.
water() {
    name=$1 scenario=$2 time=$3 volume=$4 level=$5
    shift 5
    rm -rf "$work/out"
    # No chlorine: behind a carbon that is used up it would stay uncharged, which this does not follow.
    "$leat" run "$scenario" -o "$work/out" --no-figures --set 'records.every="1 h"' \
        --set train.membrane.wear.on=false --set 'feed.chlorine="0 mg/L"' "$@" >"$work/said" 2>&1
    # A limit that was broken is status 1, and no fault here.
    [ -f "$work/out/summary.json" ] || {
        cat "$work/said" >&2
        echo "0 passed, 1 failed"
        return
    }
    "$work/water" "$work/out/scenario.resolved.cfg" 1e-12 >"$work/answer" || {
        echo "0 passed, 1 failed"
        return
    }
    $python $here/water.py "$name" "$work/out" "$work/answer" "$time" "$volume" "$level"
}

# run_of FOLDER SCENARIO CHANGES...: results with what year.py reads.
run_of() {
    folder=$1 scenario=$2
    shift 2
    "$leat" run "$scenario" -o "$folder" --no-figures --set 'records.every="6 h"' \
        --set 'meter.resolution="0.001 mg/L"' "$@" >"$work/said" 2>&1
    [ -f "$folder/summary.json" ] || cat "$work/said" >&2
}

# year NAME SCENARIO LITRES CHANGES...: a year with chemistry and wear, as it is and with fine parcels (and
# CHANGES), and once more in Python, where LITRES pass the beds at once.
year() {
    name=$1 scenario=$2 litres=$3
    shift 3
    rm -rf "$work/as" "$work/fine"
    run_of "$work/as" "$scenario"
    run_of "$work/fine" "$scenario" --set numerics.tolerance=1e-9 --set numerics.parcel_scale=0.02 "$@"
    $python $here/year.py "$name" "$work/as" "$work/fine" "$litres"
}

clean='feed.solids="0 mg/L"'
sharp='--set numerics.tolerance=1e-9 --set train.membrane.segments=48'
dirty='feed.solids="4 mg/L"'
{
    printf '%-6s %-58s %14s %14s %9s %8s\n' '' what 'second answer' leat apart 'may be'
    # shellcheck disable=SC2086 # $sharp is several words
    {
        water "demo, sharp" scenarios/demo.cfg 0.1 3e-7 1e-5 --set "$clean" $sharp
        water "demo" scenarios/demo.cfg 1 1e-5 1e-4 --set "$clean"
        water "float valve" scenarios/float_only.cfg 0.1 1e-7 1e-5 --set "$clean" $sharp
        water "busy year" $here/busy.cfg 0.2 3e-7 2e-5 $sharp
        water "clogging" scenarios/demo.cfg 60 1e-4 5e-4 --set "$dirty" $sharp
        water "clogging, fine parcels" scenarios/demo.cfg 2 3e-6 2e-5 --set "$dirty" $sharp \
            --set numerics.parcel_scale=0.01
    }
    $python $here/stages.py "$work/probe"
    rm -rf "$work/as"
    # shellcheck disable=SC2086
    run_of "$work/as" $here/bladder.cfg $sharp
    $python $here/bladder.py "$work/as" 0.1 3e-7 1e-4
    year marine scenarios/demo.cfg 8 --set train.membrane.segments=48
    year hard $here/hard.cfg 8 --set train.membrane.segments=48
    year acid $here/acid.cfg 2 --set train.membrane.segments=48
    year bare $here/bare.cfg 8
} | tee "$work/table" | grep -v ' passed, '

awk '/ passed, [0-9]+ failed$/ { passed += $1; failed += $3; parts++ }
     END { if (parts != 12) failed++; printf "%d passed, %d failed\n", passed, failed; exit failed > 0 }' \
    "$work/table"
