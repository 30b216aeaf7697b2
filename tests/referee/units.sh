#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Remakes units_table.h: what two other converters say of the units of a scenario.  Needs the `units`
# program and libudunits2 with its headers.  The test itself needs neither.
cd "$(dirname "$0")" || exit 66
folder=$(mktemp -d) || exit 73
trap 'rm -rf "$folder"' EXIT
cc -o "$folder/udunits" udunits.c -ludunits2 || exit 69
{
    echo '/* SPDX-License-Identifier: GPL-3.0-or-later'
    echo ' * Made by units.sh from units.txt with:'
    echo " *   $(units --version | head -n 1)"
    echo " *   libudunits2 $(dpkg-query -W -f '${Version}' libudunits2-dev 2>/dev/null)"
    echo ' * Columns: text, dimension, SI by the first, SI by the second (NAN: it does not know). */'
    grep -v '^#' units.txt | while IFS='|' read -r text dimension from to number unit target; do
        first=$(units -t -o '%.17g' "$from" "$to") || first=NAN
        second=NAN
        [ -z "$unit" ] || second=$("$folder/udunits" "$number" "$unit" "$target")
        [ "$second" != nan ] || second=NAN
        echo "{ \"$text\", DIM_$dimension, $first, $second },"
    done
} >units_table.h
