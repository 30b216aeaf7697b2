#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Help, version, faults of the command line and their exit status.
. "$(dirname "$0")/common.inc"

expect "no argument shows the help and is a fault" 64
says "the help goes to the errors then" err "Examples:"
silent "nothing is printed then" out
expect "--help is no fault" 0 --help
says "examples come first" out "leat new pond"
silent "--help says nothing else" err
cp out help
expect "--usage is no fault" 0 --usage
says "--usage names every verb" out "leat run [OPTION...] FILE"
silent "--usage says nothing else" err
expect "help is a word, too" 0 help
check "both are the same" cmp -s out help
check "the help fits 80 columns" awk 'length > 80 { exit 1 }' help
expect "--version is no fault" 0 --version
says "the version comes first" out "leat "
says "the version names the licence" out "GPL"

for verb in new check run away; do
    expect "$verb --help is no fault" 0 $verb --help
    says "$verb --help has examples" out "Examples:"
    says "$verb --help says how it is called" out "Usage: leat $verb [OPTION...]"
    check "$verb --help fits 80 columns" awk 'length > 80 { exit 1 }' out
    expect "$verb --usage is no fault" 0 $verb --usage
    expect "$verb --version is no fault" 0 $verb --version
    expect "$verb without its operand is a fault" 64 $verb
    says "$verb says what is missing" err "leat $verb: which"
    expect "$verb with an unknown option is a fault" 64 $verb --nonsense short.cfg
    expect "$verb with two operands is a fault" 64 $verb one two
    expect "$verb with an empty operand is a fault" 64 $verb ""
    silent "$verb prints nothing then" out
done

for verb in fit; do
    expect "$verb is a fault" 64 $verb short.cfg
    says "$verb is known, but not in this version" err "$verb is known, but not in this version"
done

expect "an unknown verb is a fault" 64 rnu
says "the nearest verb is named" err "did you mean run?"
expect "a word like no verb is a fault" 64 "x${escape}[31mxxxxxxxxxxxxx"
check "control characters are not shown raw" sh -c "! grep -q '$escape' err"
says "they are shown escaped" err '\x1b'
expect "an unknown option without a verb is a fault" 64 --nonsense
expect "run: --set without a value is a fault" 64 run short.cfg --set feed.pressure
expect "run: --set without a key is a fault" 64 run short.cfg --set "=3"
expect "run: a seed that is no number is a fault" 64 run short.cfg --seed 1x
expect "run: a negative seed is a fault" 64 run short.cfg --seed -1
expect "run: a seed that does not fit is a fault" 64 run short.cfg --seed 4294967296
expect "run: csv is no form of a run" 64 run short.cfg --format csv
says "run: the forms are named" err "table or json"
expect "run: abbreviations that mean two options are a fault" 64 run short.cfg --se 1
expect "run: --help wins over later faults" 0 run --help --nonsense
check "nothing was written" test "$(ls -A | sort | tr '\n' ' ')" = "err help out short.cfg "

finish
