#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat run with a gnuplot that is missing, fails, says that it was well but draws nothing or half a picture, prints
# nonsense, writes without end, or never ends.  The results are whole each time, and what is wrong is told.
#
. "$(dirname "$0")/../cli/common.inc"
mkdir bin

# pretend WORDS SCRIPT: gnuplot is that script; its folder comes first in PATH.
pretend() {
    words=$1
    printf '#!/bin/sh\n%s\n' "$2" >bin/gnuplot
    chmod +x bin/gnuplot
    rm -rf drawn
    begin=$(date +%s)
    PATH=$work/bin:$PATH "$leat" run short.cfg -o drawn >out 2>err </dev/null
    status=$?
    took=$(($(date +%s) - begin))
    case="gnuplot $words"
    if [ $status = 0 ]; then ok; else bad "status $status"; fi
    check "gnuplot $words: the results are whole" whole drawn
    check "gnuplot $words: no picture is left" sh -c "! ls drawn/figures/*.svg 2>/dev/null"
}

pretend "does nothing and says all was well" "exit 0"
says "that is told" err "without a whole picture"
pretend "makes empty pictures" 'f=$2; : >"${f%.gp}.svg"'
says "that is told" err "without a whole picture"
pretend "makes half a picture" 'f=$2; echo "<svg><g>" >"${f%.gp}.svg"'
says "that is told" err "without a whole picture"
pretend "makes a picture that is a link" 'f=$2; ln -sf /etc/hostname "${f%.gp}.svg"'
says "that is told" err "without a whole picture"
pretend "makes a picture that is a pipe" 'f=$2; mkfifo "${f%.gp}.svg" 2>/dev/null; exit 0'
says "that is told" err "without a whole picture"
pretend "makes a picture that is a folder" 'f=$2; mkdir -p "${f%.gp}.svg"'
says "that is told" err "without a whole picture"
pretend "fails" "exit 3"
says "that is told" err "gnuplot failed"
pretend "kills itself" 'kill -9 $$'
says "that is told" err "gnuplot failed"
pretend "prints nonsense without end" 'cat /dev/urandom | head -c 20000000; exit 1'
says "that is told" err "gnuplot failed"
check "and none of it is passed on" test "$(wc -c <out)" -lt 20000
pretend "writes a picture without end" 'f=$2; yes >"${f%.gp}.svg" || exit 1'
says "that is told" err "gnuplot failed"
pretend "never ends" 'exec sleep 1000'
says "that is told" err "did not finish in 30 s"
check "and it is waited for once, not for each picture" test $took -lt 60
pretend "leaves a process that never ends" 'sleep 1000 & exit 1'
check "nothing that it started is left" sh -c "! ps -eo args= | grep -qx 'sleep 1000'"

echo 'no program' >bin/gnuplot
chmod -x bin/gnuplot
rm -rf drawn
PATH=$work/bin "$leat" run short.cfg -o drawn >out 2>err </dev/null
says "a gnuplot that is no program is missing" err "was not found"
check "the results are whole" whole drawn
PATH=bin:. "$leat" run short.cfg -o drawn --force >out 2>err </dev/null
says "one in a folder that is not named from the root is not taken" err "was not found"
finish
