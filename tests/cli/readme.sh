#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The scenario in README.md is what its reader tries first: it must pass without any complaint.
set -u
leat=$1
readme=$(cd "$(dirname "$0")/../.." && pwd)/README.md
work=$(mktemp -d) || exit 70
trap 'rm -rf "$work"' EXIT

sed -n '/^## A scenario/,/^Every number/s/^    //p' "$readme" >"$work/readme.cfg"
"$leat" check "$work/readme.cfg" >"$work/out" 2>"$work/err"
status=$?
if [ $status = 0 ] && grep -q '^train ' "$work/readme.cfg" && ! grep -Eq '(warning|error):' "$work/err"; then
    echo "1 passed, 0 failed"
else
    echo "status $status:"
    cat "$work/err"
    echo "0 passed, 1 failed"
    exit 1
fi
