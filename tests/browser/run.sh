#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Looks at a report in a browser and by two validators:  sh tests/browser/run.sh PROGRAM
# What it needs from npm goes to build-test/browser/, never into the source tree, in the versions of
# package-lock.json; the browser is Debian's Chromium.  Nothing is skipped: what is missing fails.
# Ends with a line "N passed, N failed".
set -u
cd "$(dirname "$0")/../.." || exit 1
root=$(pwd)
leat=$(realpath "${1:-${LEAT:-build/leat}}")
tools=$root/build-test/browser
work=$(mktemp -d) || exit 70
trap 'rm -rf "$work"' EXIT

give_up() {
    echo "browser: $1" >&2
    echo "0 passed, 1 failed"
    exit 1
}

for program in node npm chromium xmllint pdfinfo; do
    command -v $program >/dev/null || give_up "$program is missing: sh tests/install.sh test"
done

# Once, and anew when the versions change.
mkdir -p "$tools" || exit 1
if ! cmp -s tests/browser/package-lock.json "$tools/installed"; then
    rm -rf "$tools/node_modules" "$tools/installed"
    cp tests/browser/package.json tests/browser/package-lock.json "$tools" || exit 1
    (cd "$tools" && npm ci --ignore-scripts --no-audit --no-fund) >"$tools/npm.log" 2>&1 ||
        give_up "npm ci failed, see $tools/npm.log"
    cp tests/browser/package-lock.json "$tools/installed"
fi
cp tests/browser/*.mjs tests/browser/.htmlvalidate.json "$tools" || exit 1

# The demonstration with all that fits beside it, a plant with next to nothing, and hostile names.
cd "$work" || exit 1
"$leat" run "$root/scenarios/demo.cfg" -q -o demo || give_up "the run failed"
"$leat" overflow "$root/scenarios/demo.cfg" -q -o spills >/dev/null || give_up "leat overflow failed"
"$leat" life "$root/scenarios/demo.cfg" -q --samples 32 -o ends >/dev/null || give_up "leat life failed"
"$leat" sweep "$root/scenarios/demo.cfg" -q --vary 'feed.pressure=45..65 psi/3' -o sweep >/dev/null ||
    give_up "leat sweep failed"
"$leat" report demo spills ends sweep -q -o whole.html || give_up "leat report failed"
"$leat" run "$root/tests/browser/bare.cfg" -q --no-figures -o bare || give_up "the bare run failed"
"$leat" report bare -q || give_up "leat report failed"
"$leat" run "$root/tests/browser/hostile.cfg" -q -o hostile || give_up "the hostile run failed"
"$leat" report hostile -q || give_up "leat report failed"

. "$root/tests/check.inc"

for page in whole bare hostile; do
    check "$page: well-formed" xmllint --noout --nonet "$work/$page.html"
    check "$page: valid HTML" env NODE_NO_WARNINGS=1 node "$tools/node_modules/html-validate/bin/html-validate.mjs" \
        --config "$tools/.htmlvalidate.json" "$work/$page.html"
    (cd "$tools" && node look.mjs "$work/$page.html" "$work") >"$work/looked" 2>"$work/noise"
    looked=$?
    grep '^FAILED' "$work/looked" | sed "s/^FAILED/FAILED $page:/"
    numbers=$(sed -n 's/^\([0-9]*\) passed, \([0-9]*\) failed$/\1 \2/p' "$work/looked")
    if [ -z "$numbers" ] || { [ $looked != 0 ] && [ "${numbers#* }" = 0 ]; }; then
        echo "FAILED $page: the browser did not finish"
        tail -n 10 "$work/noise" | sed 's/^/    /'
        numbers="0 1"
    fi
    passed=$((passed + ${numbers% *}))
    failed=$((failed + ${numbers#* }))
done

echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
