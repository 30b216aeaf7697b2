#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat when the disk does not play along: every verb with each kind of call to the system failing in turn (strace),
# on a disk with no more than 64 KiB free, with a limit to the size of files, and with nothing that may be printed.
# Demanded is the answer of always, to the byte, or a status that says so, words, and either nothing left or all of
# it; a campaign that keeps what it found ends, called again, as if nothing had been.  Of the calls of a verb that
# takes seconds a few are tried.
#   disks.sh LEAT [VERB]
#
if [ -z "${LEAT_MOUNTS:-}" ] && unshare -m true 2>/dev/null; then # mounts of its own
    LEAT_MOUNTS=1 exec unshare -m sh "$0" "$@"
fi
only=${2-}
[ ! -w /dev/shm ] || export TMPDIR=/dev/shm
here=$(cd "$(dirname "$0")" && pwd)
. "$here/../cli/common.inc"
. "$here/ground.inc"

# judge WORDS WEIGHT ARGUMENT...: words if what was done in play/, and ended with $status, is not as it must be.
judge() {
    words=$1
    weight=$2
    shift 2
    case $status in
    "$right")
        cmp -s play/out right/out && alike play right || echo "$words: status $status, but another answer"
        return
        ;;
    127) return ;; # not even the libraries could be read
    65 | 66 | 71 | 73 | 74) ;; # 65: that a file cannot be read is a complaint of the scenario
    *)
        echo "$words: status $status: $(tail -n 1 play/err)"
        return
        ;;
    esac
    [ -s play/err ] || echo "$words: status $status, but no word"
    rm -rf play/.left.lock
    case "$*" in
    *--keep*) again play "$@" || echo "$words: called again it has another answer" ;;
    *) alike play ground || alike play right || echo "$words: status $status, but half of it is left: $(cd play && echo .?* left*)" ;;
    esac
}

# first ARGUMENT...: the answer of always, in right/.
first() {
    rm -rf right
    fresh
    (cd play && PATH=$work/empty exec "$leat" "$@" >out 2>err </dev/null)
    right=$?
    mv play right
}

# report_on WORDS: a case, from the file wrong.
report_on() {
    cp wrong err
    : >out
    check "$1" test ! -s wrong
}

# ---- calls of the system that fail -------------------------------------------------------------

# traced CALL OPTION ARGUMENT...: a run in play/; its calls of that name are in trace.
traced() {
    call=$1
    shift
    (cd play && exec strace -f -qq -E PATH="$work/empty" -o "$work/trace" -e trace="$call" $inject "$leat" "$@" \
        >out 2>err </dev/null)
    status=$?
}

# failing CALL ERROR MOST ARGUMENT...: up to MOST of its calls of that name fail, each alone.
failing() {
    call=$1
    error=$2
    most=$3
    shift 3
    inject=
    fresh
    traced "$call" "$@"
    count=$(grep -c "$call(" trace)
    for n in $(awk -v n="$count" -v most="$most" 'BEGIN {
        step = n > most ? (n - 1) / (most - 1) : 1
        for (i = 1; i < n + 0.5; i += step) print int(i + 0.5) }'); do
        fresh
        inject="-e inject=$call:error=$error:when=$n"
        traced "$call" "$@"
        judge "$call $n of $count" "$weight" "$@" >>wrong
        tried=$((tried + 1))
    done
}

calls() {
    weight=$1
    shift
    case $1 in *"$only"*) ;; *) return ;; esac
    first "$@"
    most=40
    [ "$weight" != slow ] || most=3
    : >wrong
    tried=0
    for fault in write:ENOSPC fsync:EIO rename:EACCES renameat2:EACCES openat:EMFILE mkdir:EACCES close:EIO read:EIO \
        ftruncate:EIO; do
        failing "${fault%:*}" "${fault#*:}" $most "$@"
    done
    report_on "$* with $tried calls that fail, each alone"
}

if strace -o /dev/null true 2>/dev/null; then
    every_verb calls
else
    echo "skipped, no strace that may trace"
fi

# ---- disks that are full -----------------------------------------------------------------------

# What is printed goes elsewhere, so that it does not fill the disk.
on_a_disk() {
    weight=$1
    shift
    case $1 in *"$only"*) ;; *) return ;; esac
    first "$@"
    : >wrong
    for free in 0 4 12 28 64; do
        rm -rf play play.after && mkdir play
        mount -t tmpfs -o size=4m tmpfs play || return
        cp -a ground/. play/
        head -c $((($(stat -f -c %f play) * 4 - free) * 1024)) /dev/zero >play/filler
        (cd play && PATH=$work/empty exec "$leat" "$@" >../out 2>../err </dev/null)
        status=$?
        rm play/filler
        cp -a play play.after
        umount play
        rmdir play
        mv play.after play
        mv out err play
        judge "$free KiB free" "$weight" "$@" >>wrong
    done
    report_on "$* on a disk with up to 64 KiB free"
}

if [ -n "${LEAT_MOUNTS:-}" ] && mkdir disk && mount -t tmpfs tmpfs disk 2>/dev/null; then
    umount disk
    every_verb on_a_disk
else
    echo "skipped, nothing may be mounted here"
fi

# ---- nothing may be printed, or only so much written ---------------------------------------------

printing() {
    weight=$1
    shift
    case $1 in *"$only"*) ;; *) return ;; esac
    first "$@"
    : >wrong
    fresh
    (cd play && PATH=$work/empty exec "$leat" "$@" >/dev/full 2>err </dev/null)
    status=$?
    [ $status = 74 ] || echo "/dev/full: status $status" >>wrong
    : >play/out
    judge "/dev/full" "$weight" "$@" >>wrong
    for blocks in 0 1 4 40; do
        fresh
        (cd play && ulimit -f $blocks && PATH=$work/empty exec "$leat" "$@" >out 2>"$work/err.limit" </dev/null)
        status=$?
        mv err.limit play/err
        [ -s play/err ] || [ $status = $right ] || [ $blocks = 0 ] || echo "limit of $blocks: no word" >>wrong
        echo "-" >>play/err # what is said may not fit either
        judge "files of $blocks blocks" "$weight" "$@" >>wrong
    done
    report_on "$* with a full output, and with files that may not grow"
}
every_verb printing
finish
