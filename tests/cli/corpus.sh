#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Inputs that fuzzing once found, or that somebody thought of, put through every reader again; one case a target.
# The programs lie beside leat, where cmake builds them.
project=$(cd "$(dirname "$0")/../.." && pwd) || exit 64
. "$(dirname "$0")/common.inc"
replays=$(dirname "$leat")/tests/fuzz

for folder in "$project"/tests/fuzz/corpus/*; do
    target=$(basename "$folder")
    case $target in
    scan | scenario | resolved) set -- "$project/scenarios" "$project/tests/bad" "$project/tests/found" ;;
    *) set -- ;;
    esac
    TMPDIR=$work "$replays/replay_$target" "$folder" "$@" >out 2>err
    status=$?
    case="every input of $target is read or refused"
    if [ $status = 0 ]; then
        ok
    else
        tail -n 8 err >end && mv end err
        bad "status $status, at the last file that is named"
    fi
done
for replay in "$replays"/replay_*; do
    [ ! -x "$replay" ] || basename "$replay" | sed 's/^replay_//'
done | sort >built
find "$project/tests/fuzz/corpus" -mindepth 1 -maxdepth 1 -type d | sed 's|.*/||' | sort >kept
check "every target has inputs" cmp -s built kept
finish
