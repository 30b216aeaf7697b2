#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Checks what DEVELOPERS.md promises of the code and a compiler does not see.
#   sh tests/check_layers.sh [FOLDER]    of the project, or of a copy of it
#   sh tests/check_layers.sh selftest    breaks each rule in a small copy: each must be found
# One line a check; status 1 if any is broken.
set -u
export LC_ALL=C

case ${1-} in
selftest) ;;
*) cd "${1:-$(dirname "$0")/..}" || exit 64 ;;
esac

work=$(mktemp -d) || exit 70
trap 'rm -rf "$work"' EXIT

# ---- what is allowed ---------------------------------------------------------------------------

models_headers='assert float math stdbool stddef string'

# Functions outside libm that a model may call; the last three are the compiler's own.
models_calls='memcpy memmove memset memcmp strcmp strlen __assert_fail
              _GLOBAL_OFFSET_TABLE_ __stack_chk_fail'

# A public name begins with the name of its file.  These are the exceptions: FILE:BEGINNING.
name_exceptions='
    models/parcel:vessel_           models/plant:settings_init
    models/plant_carry:account_     models/plant_carry:exit_name
    models/species:element_name     models/tank:overflow_
    models/membrane_stage:stage_membrane  models/resin_stage:stage_resin
    models/valve:float_valve_       models/valve:friction_
    models/valve:tube_
    sim/report:status_'

# Headers of the C library and of POSIX that the engine uses.
plain_headers='assert ctype dirent errno fcntl float inttypes limits locale math poll signal spawn stdalign stdatomic
    stdarg stdbool stddef stdint stdio stdlib string strings sys/file sys/mman sys/resource sys/stat sys/time
    sys/types sys/wait sysexits time unistd wchar'

# Any other header is an outside library's, and one .c file knows it.  Values of JSON and GSL's switch
# for its error handler may be known to several.
shared_headers='jansson.h gsl/gsl_errno.h'

# ---- small pieces -------------------------------------------------------------------------------

checked=0
broken=0

# verdict WORDS CHECK: runs CHECK, which prints a complaint a line, none if all is well.
verdict() {
    checked=$((checked + 1))
    $2 >"$work/complaints"
    if [ -s "$work/complaints" ]; then
        echo "broken: $1"
        sed 's/^/    /' "$work/complaints"
        broken=$((broken + 1))
    else
        echo "ok: $1"
    fi
}

one_of() {
    word=$1
    shift
    for other; do
        [ "$word" != "$other" ] || return 0
    done
    return 1
}

# includes FILE...: lines "FILE HEADER", quotes or brackets kept.
includes() {
    for file; do
        [ ! -f "$file" ] ||
            sed -n "s|^[[:space:]]*#[[:space:]]*include[[:space:]]*\([<\"][^>\"]*[>\"]\).*|$file \1|p" "$file"
    done
}

# may_name FILE NAME: is NAME (public, of FILE without .c) built as it should be?  A file that has no
# header of its own (plant_carry) may use the name of the one that it belongs to (plant).
may_name() {
    stem=${1##*/}
    for exception in $name_exceptions; do
        [ "${exception%%:*}" = "$1" ] || continue
        case $2 in "${exception#*:}"*) return 0 ;; esac
    done
    [ "$2" != "stage_$stem" ] || return 0
    while :; do
        case $2 in "$stem"*) return 0 ;; esac
        case $stem in *_*) stem=${stem%_*} ;; *) return 1 ;; esac
    done
}

# ---- models ------------------------------------------------------------------------------------

check_models_includes() {
    includes models/*.[ch] | while read -r file header; do
        name=${header#?}
        name=${name%?}
        case $header in
        \"*) [ -f "models/$name" ] || echo "$file includes $header, which is not in models/" ;;
        *)
            # shellcheck disable=SC2086 # several words each
            one_of "${name%.h}" $models_headers || echo "$file includes $header"
            ;;
        esac
    done
}

# Without optimisation, so that nothing is dropped before it is seen.
compile_models() {
    for file in models/*.c; do
        cc -std=c17 -D_GNU_SOURCE -O0 -I. -c "$file" -o "$work/$(basename "$file" .c).o" 2>&1
    done
    objects=$(ls "$work"/*.o 2>/dev/null)
}

check_models_globals() {
    for object in $objects; do
        size -A "$object" | awk -v file="models/$(basename "$object" .o).c" '
            $1 ~ /^\.(data|bss|tdata|tbss)$/ && $2 > 0 {
                print file " has " $2 " bytes of variables that outlive a call (" $1 ")" }'
    done
}

check_models_calls() {
    nm -D --defined-only "$(cc -print-file-name=libm.so.6)" | awk '{ sub(/@.*/, "", $3); print $3 }' \
        >"$work/allowed"
    # shellcheck disable=SC2086 # several words each
    {
        [ -z "$objects" ] || nm -g --defined-only $objects | awk 'NF == 3 { print $3 }'
        printf '%s\n' $models_calls
    } >>"$work/allowed"
    for object in $objects; do
        nm -u "$object" | awk -v file="models/$(basename "$object" .o).c" '
            NR == FNR { allowed[$1] = 1; next }
            !($2 in allowed) { print file " calls " $2 }' "$work/allowed" -
    done
}

check_models_names() {
    for object in $objects; do
        file=models/$(basename "$object" .o)
        nm -g --defined-only "$object" | while read -r _ _ name; do
            may_name "$file" "$name" || echo "$file.c makes $name public"
        done
    done
}

# ---- engine ------------------------------------------------------------------------------------

check_outside_headers() {
    includes sim/*.[ch] | grep '<' | sort -u | while read -r file header; do
        name=${header#<}
        name=${name%>}
        # shellcheck disable=SC2086 # several words
        one_of "${name%.h}" $plain_headers || one_of "$name" $shared_headers || echo "$name $file"
    done | sort | awk '
        $2 !~ /\.c$/ { print $2 " includes <" $1 ">: a header may not" }
        $1 == last   { print "<" $1 "> is included by both " file " and " $2 }
        { last = $1; file = $2 }'
}

# Files that share a header are one module: source_scan belongs to source.
module() {
    stem=$1
    while [ ! -f "sim/$stem.h" ] || [ -f "sim/${stem%_*}.h" ]; do
        case $stem in *_*) stem=${stem%_*} ;; *) break ;; esac
    done
    echo "$stem"
}

check_cycles() {
    includes sim/*.[ch] | grep '"' | while read -r file header; do
        name=${header#\"}
        name=${name%\"}
        [ -f "sim/${name#sim/}" ] || continue
        from=$(basename "$file")
        from=$(module "${from%.*}")
        to=$(module "$(basename "$name" .h)")
        [ "$from" = "$to" ] || echo "$from $to"
    done | sort -u | tsort 2>&1 >/dev/null | sed 's/^tsort: -*:* *//'
}

# Functions that are public but not in a header are the compiler's to find (-Wmissing-prototypes).
check_engine_names() {
    for file in sim/*.h; do
        [ -f "$file" ] || continue
        sed -n 's/^[a-z][a-z0-9_ ]*[ *]\([a-z][a-z0-9_]*\)(.*/\1/p
                s/^extern .*[ *]\([a-z][a-z0-9_]*\)\(\[[^]]*\]\)*;.*/\1/p' "$file" |
            grep -v '^__' |
            while read -r name; do
                may_name "${file%.h}" "$name" || echo "$file declares $name"
            done
    done
}

# ---- all ---------------------------------------------------------------------------------------

check_shells() {
    grep -nE '\b(system|popen)[[:space:]]*\(' models/*.[ch] sim/*.[ch] plots/* 2>/dev/null
}

check_lengths() {
    awk 'FNR == 1 { start = 0 }
         /^[a-z].*\(/ { name = $0 }
         /^\{/ { start = FNR }
         /^\}/ { if (start && FNR - start + 1 > 60)
                     print FILENAME ":" start ": " FNR - start + 1 " lines: " name
                 start = 0 }' models/*.c sim/*.c
}

check_all() {
    verdict "models include only models and plain headers" check_models_includes
    verdict "models compile by themselves" compile_models
    verdict "models have no variables that outlive a call" check_models_globals
    verdict "models call nothing but mathematics" check_models_calls
    verdict "public names of models begin with their file's name" check_models_names
    verdict "each outside library is known to one file" check_outside_headers
    verdict "modules of the engine do not include each other in a circle" check_cycles
    verdict "public names of the engine begin with their file's name" check_engine_names
    verdict "nothing starts a shell" check_shells
    verdict "no function is longer than 60 lines" check_lengths
}

# ---- selftest ----------------------------------------------------------------------------------

# A small project without fault.
small_project() {
    rm -rf "$work/small"
    mkdir -p "$work/small/models" "$work/small/sim" "$work/small/plots"
    cd "$work/small" || exit 70
    printf '#include <math.h>\ndouble pool_depth(double v);\n' >models/pool.h
    printf '#include "pool.h"\ndouble pool_depth(double v)\n{\n    return cbrt(v);\n}\n' >models/pool.c
    printf '#include "low.h"\nint high_walk(void);\n' >sim/high.h
    printf '#include "high.h"\n#include <libconfig.h>\n' >sim/high.c
    printf 'int low_walk(void);\n' >sim/low.h
    printf '#include "low.h"\nint low_walk(void)\n{\n    return 1;\n}\n' >sim/low.c
    echo 'plot 1' >plots/one.gp
}

tried=0
missed=0

# expect WORDS: the project as it now stands breaks one rule, and the check says so in these words.
expect() {
    tried=$((tried + 1))
    if sh "$checker" . >"$work/said" || ! grep -q "^broken: .*$1" "$work/said"; then
        echo "missed: $1"
        sed 's/^/    /' "$work/said"
        missed=$((missed + 1))
    else
        echo "found: $1"
    fi
    small_project
}

selftest() {
    checker=$(cd "$(dirname "$0")" && pwd)/check_layers.sh
    small_project
    tried=1
    sh "$checker" . >"$work/said" || { cat "$work/said"; missed=1; }
    sed -i '1i #include <stdio.h>' models/pool.c
    expect "models include only"
    sed -i '1i #include "sim/low.h"' models/pool.c
    expect "models include only"
    echo 'static int n; int pool_count(void); int pool_count(void) { return ++n; }' >>models/pool.c
    expect "outlive a call"
    echo 'static double a = 3.0; double *pool_a(void); double *pool_a(void) { return &a; }' >>models/pool.c
    expect "outlive a call"
    echo 'void *malloc(unsigned long); void *pool_new(void) { return malloc(8); }' >>models/pool.c
    expect "nothing but mathematics"
    echo 'int rand(void); int pool_luck(void) { return rand(); }' >>models/pool.c
    expect "nothing but mathematics"
    echo 'int puddle_depth(void) { return 1; }' >>models/pool.c
    expect "names of models"
    echo 'not C' >>models/pool.c
    expect "compile by themselves"
    echo '#include <libconfig.h>' >>sim/low.c
    expect "known to one file"
    echo '#include <csv.h>' >>sim/low.h
    expect "known to one file"
    echo '#include "high.h"' >>sim/low.c
    expect "in a circle"
    echo 'int walk_low(void);' >>sim/low.h
    expect "names of the engine"
    echo 'int low_shell(void) { return system ("ls"); }' >>sim/low.c
    expect "starts a shell"
    echo 'x = system("ls")' >>plots/one.gp
    expect "starts a shell"
    { printf 'int low_long(void)\n{\n'; yes '    ;' | head -n 59; printf '}\n'; } >>sim/low.c
    expect "longer than 60"
    echo "$((tried - missed)) passed, $missed failed"
    [ $missed = 0 ]
}

if [ "${1-}" = selftest ]; then
    selftest
else
    check_all
    echo "$((checked - broken)) passed, $broken failed"
    [ $broken = 0 ]
fi
