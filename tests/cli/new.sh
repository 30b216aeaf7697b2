#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat new: copies a scenario, never overwrites.
. "$(dirname "$0")/common.inc"

expect "new makes a file" 0 new pond
check "it gets the ending .cfg" test -s pond.cfg
says "the next command is named" out "Next: leat check pond.cfg"
check "its mode follows the umask" test "$(stat -c %a pond.cfg)" = 644
cp pond.cfg before
expect "new refuses a file that is there" 73 new pond
says "it says so" err "pond.cfg: is there already"
check "the file is as it was" cmp -s pond.cfg before
expect "the ending is not doubled" 0 new lake.cfg
check "lake.cfg is there" cmp -s lake.cfg pond.cfg
expect "what is copied is a sound scenario" 0 check pond.cfg

ln -s elsewhere link.cfg
expect "new refuses a link" 73 new link
check "nothing was written through it" test ! -e elsewhere
expect "a folder that is missing is refused" 73 new no/pond
says "the reason is told" err "No such file or directory"
expect "a name that is a folder is refused" 64 new pond/
expect "quiet prints nothing" 0 new quiet -q
silent "indeed nothing" out

expect "--list is no fault" 0 new --list
check "the list has a line" test -s out
check "every line has words" awk 'NF < 2 { exit 1 }' out
name=$(sed -n '1s/ .*//p' out)
expect "a listed one can be copied" 0 new copy --from "$name"
expect "an unknown one is a fault" 64 new other --from "${name}x"
says "the nearest is named" err "did you mean $name?"
check "nothing is made then" test ! -e other.cfg

case="a full disk is an error of writing"
(ulimit -f 0; "$leat" new full >out 2>err)
status=$?
if [ $status = 74 ]; then ok; else bad "status $status"; fi
check "half a file is not left" test ! -e full.cfg
case="a full standard output is an error of writing"
"$leat" new loud >/dev/full 2>err
status=$?
if [ $status = 74 ]; then ok; else bad "status $status"; fi

finish
