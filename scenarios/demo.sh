#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Builds the program, runs one year of scenarios/demo.cfg, asks whether it can overflow, and makes a
# report of both.  From any folder:  sh scenarios/demo.sh
set -u
cd "$(dirname "$0")/.." || exit 1

fail() {
    echo "demo: $1" >&2
    exit 1
}

sh tests/install.sh run || fail "some packages are missing"
echo "Building ..."
mkdir -p build || exit 1
{
    cmake -S . -B build -DCMAKE_BUILD_TYPE=Release && cmake --build build -j2 --target leat
} >build/demo.log 2>&1 || {
    tail -n 20 build/demo.log >&2
    fail "the build failed; all of it is in build/demo.log"
}

# --force replaces nothing but a results folder that the program itself wrote
force_for() {
    [ ! -e "$1" ] || echo --force
}
mkdir -p results || exit 1
# shellcheck disable=SC2046 # one word or none
build/leat run scenarios/demo.cfg -o results/demo $(force_for results/demo)
status=$?
[ $status -le 1 ] || exit $status
[ $status = 0 ] || echo "A limit that the scenario sets was broken: the summary above says which."

echo
echo "Can it overflow?  Every fault and every pair of faults, from the worst moments (some seconds):"
# shellcheck disable=SC2046
build/leat overflow scenarios/demo.cfg -o results/demo-overflow $(force_for results/demo-overflow) \
    >results/demo-overflow.txt || exit $?
sed '/^$/q' results/demo-overflow.txt
# the page is made by this script each time; nothing else is called so
build/leat report results/demo results/demo-overflow -q -o results/demo.html --force || exit $?
cat <<'END'
Next:
    less results/demo-overflow.txt              all of that answer
    build/leat away scenarios/demo.cfg          may you leave, and what to do before
    build/leat life scenarios/demo.cfg          when each cartridge ends, and how sure that is
    build/leat rinse scenarios/demo.cfg         how to rinse the membrane
    build/leat read scenarios/demo.cfg 73,2,0   what three meter readings say
    build/leat sweep scenarios/demo.cfg --vary 'feed.pressure=40..70 psi/4'
    build/leat check scenarios/demo.cfg         what was assumed, and a sizing at a glance
    build/leat new my.cfg                       a scenario of your own to fill in
    sh tests/run.sh                             every test

The report, one page with all pictures, to open in any browser or to print:
END
echo "    $(pwd)/results/demo.html"
