#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Are the tests worth anything?  Puts each wrong model of list.txt into a copy of the sources, one at a time, and
# runs the tests until one turns red.  From the project's folder:
#   sh tests/mutants/run.sh           all of them
#   sh tests/mutants/run.sh 40        so many, spread over the list
#   sh tests/mutants/run.sh 24-60     those of these numbers
#   sh tests/mutants/run.sh tank.c    those of one file
# In the copy the models are a shared library: a wrong model is one file compiled, and no test is linked again.
# The tests of the file itself come first, then those that use it, the quickest first.  What hangs is caught too.
# MUTANTS in the environment: a folder to keep the copy in, for another run.  PATIENCE: seconds that a test may take
# to be asked, unless it is the file's own.
# Wanted: 95 of 100 caught.  Those that live are listed: each asks for a test, or is no fault (say so in list.txt).
set -u
root=$(cd "$(dirname "$0")/../.." && pwd) || exit 1
list=$root/tests/mutants/list.txt
work=${MUTANTS:-$(mktemp -d)} || exit 70
[ -n "${MUTANTS:-}" ] || trap 'rm -rf "$work"' EXIT
mkdir -p "$work/source" "$work/build" || exit 70
wanted=${1:-all}
export LC_ALL=C.UTF-8
# They try campaigns, which are made of runs; and slowly.
left_out="test_safeguard test_years test_campaign test_life test_rinse test_away test_render test_film test_cases"

copy() {
    for part in CMakeLists.txt models sim plots scenarios tests docs; do
        rm -rf "${work:?}/source/$part"
        cp -Rp "$root/$part" "$work/source/" || exit 70
    done
    sed -i 's/^add_library(models STATIC/add_library(models SHARED/' "$work/source/CMakeLists.txt"
    grep -q '^add_library(models SHARED' "$work/source/CMakeLists.txt" || exit 70
}

build() {
    cmake -S "$work/source" -B "$work/build" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_FLAGS_DEBUG="-O1" \
        -DLEAT_TESTS=ON >"$work/build.log" 2>&1 &&
        cmake --build "$work/build" -j2 >>"$work/build.log" 2>&1
}

# A line "number TAB file TAB words TAB old TAB new" for each; complains of a text that is not there just once.
read_list() {
    awk -v models="$root/models/" '
        function count(file, text,    n, line, at) {
            while ((getline line < (models file)) > 0)
                while ((at = index(line, text)) > 0) { n++; line = substr(line, at + length(text)) }
            close(models file)
            return n
        }
        /^\* / { number++; file = $2; words = $0; sub(/^\* [^ ]* */, "", words) }
        /^< / { old = substr($0, 3) }
        /^>/ {
            n = count(file, old)
            if (n != 1) {
                printf "list.txt:%d: this stands %d times in models/%s: %s\n", NR - 1, n, file, old | "cat >&2"
                wrong = 1
            }
            printf "%d\t%s\t%s\t%s\t%s\n", number, file, words, old, substr($0, 3)
        }
        END { exit wrong }' "$list"
}

# Those asked for, evenly spread if a number is asked for.
choose() {
    case $wanted in
    all) cat "$work/all" ;;
    *-*) awk -F '\t' -v from="${wanted%-*}" -v to="${wanted#*-}" '$1 >= from + 0 && $1 <= to + 0' "$work/all" ;;
    *.c) awk -F '\t' -v file="$wanted" '$2 == file' "$work/all" ;;
    *) awk -v n="$wanted" -v all="$(wc -l <"$work/all")" 'int(NR * n / all) > int((NR - 1) * n / all)' "$work/all" ;;
    esac
}

# The tests that must be red for a file: its own, then others that use it, then all the rest; slow ones last of all.
tests_for() {
    name=$(basename "$1" .c)
    first="test_$name published_test_$name"
    case $name in
    cycle) first="test_feed test_basin" ;;
    evaporation) first="test_basin published_test_basin" ;;
    membrane_*) first="test_membrane published_test_membrane test_standard test_holdup" ;;
    plant*) first="test_$name test_plant test_plant_flow test_plant_trace test_standard test_truth test_control test_trip test_tricky" ;;
    standard) first="test_standard published_test_standard" ;;
    species) first="published_test_water published_test_units test_species" ;;
    scaling) first="test_scaling published_test_scaling test_wear" ;;
    esac
    echo "$first" | tr ' ' '\n'
    while read -r name; do
        awk -v name="$name" -v most="${PATIENCE:-20}" '$2 == name && $1 <= 1000 * most { print name }' "$work/times"
    done <"$work/order"
}

# try PROGRAM SECONDS: with few random scenarios where it has many.
try() {
    case $(basename "$1") in
    test_any | test_alike) trials=30 ;;
    *) trials= ;;
    esac
    (cd "$work/source" && env ${trials:+LEAT_TRIALS=$trials} timeout "$2" "$1" --color=never >"$work/log" 2>&1 </dev/null)
}

# A test that passes, its milliseconds and name: quickest first.  What is known already is not measured again.
measure() {
    touch "$work/times"
    for program in "$work"/build/tests/test_* "$work"/build/tests/published_test_*; do
        [ -f "$program" ] && [ -x "$program" ] || continue
        name=$(basename "$program")
        case " $left_out " in *" $name "*) continue ;; esac
        ! grep -q " $name\$" "$work/times" || continue
        began=$(date +%s%N)
        try "$program" 300
        status=$?
        if [ $status = 0 ]; then
            echo "$((($(date +%s%N) - began) / 1000000)) $name" >>"$work/times"
        else
            echo "left out, red or slow without any fault: $name (status $status)"
        fi
    done
    for name in $left_out; do
        sed -i "/ $name\$/d" "$work/times"
    done
    sort -n "$work/times" | sed 's/^[0-9]* //' >"$work/order"
}

# red PROGRAM: it fails, or takes twenty times as long as it should.
red() {
    most=$(awk -v name="$1" '$2 == name { print int($1 / 50) + 20 }' "$work/times")
    [ -n "$most" ] || return 1
    ! try "$work/build/tests/$1" "$most"
}

# put FILE OLD NEW
put() {
    old=$2 new=$3 awk '
        {
            at = index($0, ENVIRON["old"])
            if (at > 0)
                $0 = substr($0, 1, at - 1) ENVIRON["new"] substr($0, at + length(ENVIRON["old"]))
            print
        }' "$root/models/$1" >"$work/source/models/$1"
}

judge() {
    put "$2" "$4" "$5"
    if ! cmake --build "$work/build" --target models >"$work/log" 2>&1; then
        echo "$1 $2: $3: DOES NOT COMPILE"
        verdict=broken
        return
    fi
    verdict=lives
    for name in $(tests_for "$2" | awk '!seen[$0]++'); do
        if red "$name"; then
            verdict=caught
            echo "$1 $2: $3: caught by $name"
            break
        fi
    done
    [ $verdict = caught ] || echo "$1 $2: $3: LIVES"
}

read_list >"$work/all" || exit 1
choose >"$work/chosen"
echo "$(wc -l <"$work/chosen") wrong models; building in $work ..."
copy
build || {
    tail -n 20 "$work/build.log"
    exit 1
}
measure
caught=0
lives=0
tab=$(printf '\t')
while IFS="$tab" read -r number file words old new <&3; do
    judge "$number" "$file" "$words" "$old" "$new"
    cp -p "$root/models/$file" "$work/source/models/$file"
    touch "$work/source/models/$file"
    if [ "$verdict" = caught ]; then
        caught=$((caught + 1))
    else
        lives=$((lives + 1))
    fi
done 3<"$work/chosen"
share=$((100 * caught / (caught + lives)))
echo "$caught caught, $lives not: $share %"
if [ $share -ge 95 ]; then
    echo "1 passed, 0 failed"
else
    echo "0 passed, 1 failed"
    exit 1
fi
