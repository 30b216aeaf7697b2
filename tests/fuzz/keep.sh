#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Puts what fuzzing found into the corpus: of each target the smallest inputs that reach what the named ones and
# the seeds do not.  From any folder, after tests/fuzz/run.sh:
#   sh tests/fuzz/keep.sh [TARGET...]
# Inputs with a name of words stay as they are; those named by their hash are chosen anew.  Texts come before
# bytes, and a target gets no more than 20 kB.
set -u
cd "$(dirname "$0")/../.." || exit 1
build=$(pwd)/build-fuzz
. tests/fuzz/targets.inc
[ $# -gt 0 ] || set -- $(fuzz_targets)
TMPDIR=$(mktemp -d -p "$(fuzz_memory)") || exit 1
export TMPDIR
trap 'rm -rf "$TMPDIR"' EXIT
most=20000

for target; do
    corpus=tests/fuzz/corpus/$target
    fuzzer=$build/tests/fuzz/fuzz_$target
    chosen=$TMPDIR/$target
    named=$TMPDIR/$target.named
    texts=$TMPDIR/$target.texts
    mkdir "$chosen" "$named" "$texts"
    for file in "$corpus"/*; do
        case $(basename "$file") in
        ????????????????????????????????????????) mv "$file" "$build/found/$target/" ;;
        *) cp "$file" "$chosen/" ;;
        esac
    done
    for file in $(fuzz_seeds "$target" | cut -d' ' -f2-); do
        [ "$file" = "$corpus" ] || cp "$file"/*.cfg "$chosen/" 2>/dev/null
    done
    ls "$chosen" >"$named/list"
    grep -LaP '[^\x20-\x7e\n]' "$build/found/$target"/* 2>/dev/null | xargs -r cp -t "$texts"
    for from in "$texts" "$build/found/$target"; do
        nice "$fuzzer" -merge=1 -timeout=10 -rss_limit_mb=1024 "$chosen" "$from" >"$build/$target.merge.log" 2>&1
    done
    room=$most
    for file in $(ls -Sr "$chosen" | grep -vxFf "$named/list"); do
        room=$((room - $(wc -c <"$chosen/$file")))
        [ $room -lt 0 ] || cp "$chosen/$file" "$corpus/"
    done
    echo "$target: $(ls "$corpus" | wc -l) inputs, $(cat "$corpus"/* | wc -c) bytes"
done
echo "Next: sh tests/fuzz/run.sh 0   (replays them)"
