#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The same bytes from gcc and clang, at three levels of optimisation: the program alone, in build folders of its own
# under build-compilers/, and a short scenario.  From the project's folder:
#   sh tests/medium/builds.sh
set -u
root=$(pwd)
folder=$root/build-compilers
export LC_ALL=C.UTF-8

one_build() { # COMPILER LEVEL
    cmake -S . -B "$folder/$1$2" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_COMPILER="$1" -DCMAKE_C_FLAGS_DEBUG="$2" \
        >"$folder/$1$2.log" 2>&1 &&
        cmake --build "$folder/$1$2" -j2 --target leat >>"$folder/$1$2.log" 2>&1
}

mkdir -p "$folder" || exit 70
for compiler in gcc clang; do
    command -v $compiler >/dev/null || continue
    for level in -O0 -O2 -O3; do
        one_build $compiler $level || {
            echo "FAILED: build with $compiler $level"
            tail -n 20 "$folder/$compiler$level.log"
            echo "0 passed, 1 failed"
            exit 1
        }
    done
done

set -- "$folder/gcc-O2/leat"
. tests/cli/common.inc

# The manifest names the compiler, and is left out.
for build in "$folder"/*-O?; do
    name=$(basename "$build")
    "$build/leat" run short.cfg -q -o "$name" --no-figures --set 'feed.treatment="chloramine"' >out 2>err
    "$build/leat" sweep short.cfg -q --vary 'feed.pressure=40..60 psi/3' --format json >"$name/sweep.json" 2>err
    rm -f "$name/manifest.json"
done
for build in "$folder"/*-O?; do
    name=$(basename "$build")
    [ "$name" != gcc-O2 ] || continue
    case="$name writes what gcc-O2 does"
    if [ -s "$name/series.csv" ] && diff -r gcc-O2 "$name" >different; then ok; else bad "$(head -n 3 different)"; fi
done
finish
