#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Every scenario in this folder is bad.  The program must say exactly what is in the .txt beside it
# and must not end well.  Usage: run.sh PROGRAM; runs  PROGRAM check FILE.cfg.
# With --remake it writes the .txt files instead: look at the difference before keeping it.
program=$(realpath "$1") || exit 64
cd "$(dirname "$0")" || exit 66
failed=0
for file in *.cfg; do
    said=$("$program" check "$file" 2>&1 >/dev/null)
    status=$?
    if [ "$2" = --remake ]; then
        printf '%s\n' "$said" >"${file%.cfg}.txt"
    elif [ $status -ne 65 ] && [ $status -ne 66 ]; then
        echo "$file: status $status instead of 65"
        failed=1
    elif ! printf '%s\n' "$said" | diff -u "${file%.cfg}.txt" - ; then
        echo "$file: not what is expected"
        failed=1
    fi
done
exit $failed
