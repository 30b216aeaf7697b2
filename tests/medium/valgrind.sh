#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# What no sanitizer of gcc sees: reads of memory that was never set.  $LEAT is a build without sanitizers.
. tests/cli/common.inc
sed -e 's/^clock.*/clock = { length = "12 h"; };\nrisk = { unattended = "6 h"; };/' short.cfg >brief.cfg

# sound WORDS ARGUMENT...: ends well, and valgrind has nothing to say of our code.
sound() {
    case=$1
    shift
    valgrind --quiet --error-exitcode=99 --leak-check=full --errors-for-leak-kinds=definite \
        --log-file=log "$leat" "$@" >out 2>err
    status=$?
    if [ -s log ]; then
        bad "status $status: $(head -n 12 log)"
    elif [ $status -gt 1 ]; then
        bad "status $status"
    else
        ok
    fi
}

sound "help" run --help
sound "keys" keys
sound "a new scenario" new pond
sound "check" check brief.cfg
sound "check, for programs" check brief.cfg --format json
sound "run" run brief.cfg -q -o whole --no-figures
sound "part of a run" run brief.cfg -q -o part --until "5 h" --no-figures
sound "the rest of it" run brief.cfg -q -o rest --resume part --no-figures
sound "read" read brief.cfg 245,13,0
sound "a sweep" sweep brief.cfg -q --vary 'feed.pressure=40,50 psi' --jobs 1
case="a scenario that is wrong"
sed 's/50 psi/50/' brief.cfg >wrong.cfg
valgrind --quiet --error-exitcode=99 --log-file=log "$leat" check wrong.cfg >out 2>err
status=$?
if [ $status = 65 ]; then ok; else bad "status $status: $(head -n 12 log)"; fi
finish
