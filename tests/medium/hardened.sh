#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The release is built as docs/security.md says.  $LEAT is that build.
. tests/cli/common.inc

has() { # WORDS TEXT READELF-OPTION
    case=$1
    if readelf -W "$3" "$leat" 2>/dev/null | grep -qE "$2"; then ok; else bad "no $2"; fi
}

has "position independent" 'Type: *DYN' -h
has "tables read-only" 'GNU_RELRO' -l
has "resolved at the start" 'FLAGS.*(BIND_NOW|NOW)' -d
has "stack guarded" '__stack_chk_fail' -s
has "lengths checked" '__(snprintf|memcpy|vsnprintf|fprintf|strcpy|strcat|read)_chk' -s
case="no stack that may be run"
if readelf -W -l "$leat" | grep GNU_STACK | grep -q 'RWE'; then bad "it may"; else ok; fi
case="no folder of this machine to look for libraries in"
if readelf -W -d "$leat" | grep -qE 'RPATH|RUNPATH'; then bad "$(readelf -W -d "$leat" | grep PATH)"; else ok; fi
finish
