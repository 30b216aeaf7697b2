#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Every line under "Examples:" in the help of each verb, run as it is written.
# release
#   LEAT_EXAMPLES=all sh tests/cli/examples.sh PROGRAM      also those that take longest, some minutes each
#   LEAT_VERBS="show gather" sh tests/cli/examples.sh PROGRAM         those of these verbs
#
# Each verb has a folder of its own with pond.cfg of  leat new pond  in it, and what it needs of other verbs.  pond.cfg
# is made shorter: 310 of its days, past its last event, and 6 h without anybody there.  Of the verbs that go
# through years of each cartridge (life, rinse) the first example is run, of the others the options are read and the
# changes of --set are made to the scenario.
. "$(dirname "$0")/common.inc"
mkdir bin
ln -s "$leat" bin/leat
PATH=$work/bin:$PATH
export PATH
costly="life rinse"

leat new pond >out 2>err
sed 's/length = "365 days"/length = "310 days"; away = "6 h"/' pond.cfg >small.cfg
check "the scenario is short" grep -q '310 days' small.cfg
leat --usage >usage
verbs=${LEAT_VERBS-$(sed -n 's/^.*: leat \([a-z]*\) .*/\1/p' usage)}

examples_of() {
    leat "$1" --help | sed -n '/^Examples:$/,/^[^ ]/s/^  leat/leat/p'
}

# What a verb needs of others.
prepare() {
    case $1 in
    new | keys) ;;
    show)
        cp ../small.cfg pond.cfg
        leat run pond.cfg -q --no-figures
        ;;
    gather)
        cp ../small.cfg pond.cfg
        for part in 1 2 3; do
            leat overflow pond.cfg -q --shard $part/3 --keep part-$part
        done
        ;;
    report)
        cp ../small.cfg pond.cfg
        leat run pond.cfg -q
        leat overflow pond.cfg -q -o pond-overflow
        leat life pond.cfg -q --samples 32 -o pond-life
        ;;
    *) cp ../small.cfg pond.cfg ;;
    esac >made 2>&1
}

# A status of 1 is fine where the help says what it means.
fine() {
    [ "$2" = 0 ] || { [ "$2" = 1 ] && leat "$1" --help | tr '\n' ' ' | grep -qE 'Exit +status +1'; }
}

# Reads the options of a line without doing what they say, and makes its changes.
look_at() {
    eval "set -- $1"
    shift
    leat "$@" --usage >out 2>err || return
    grep -q '^Usage: ' out || return
    while [ $# -gt 0 ]; do
        if [ "$1" = --set ]; then
            leat check pond.cfg -q --set "$2" >out 2>err || return
        fi
        shift
    done
}

for verb in $verbs; do
    mkdir "in-$verb"
    cd "in-$verb" || exit 70
    prepare "$verb"
    examples_of "$verb" >lines
    check "$verb has two examples" [ "$(wc -l <lines)" -ge 2 ]
    number=0
    while IFS= read -r line; do
        number=$((number + 1))
        case=$line
        if [ $number -gt 1 ] && [ "${LEAT_EXAMPLES-}" != all ] && echo " $costly " | grep -q " $verb "; then
            if look_at "$line"; then ok; else bad "it is not understood"; fi
            continue
        fi
        sh -c "$line" >out 2>err </dev/null
        status=$?
        if fine "$verb" $status && [ -s out ]; then ok; else bad "status $status"; fi
    done <lines
    cd ..
done
finish
