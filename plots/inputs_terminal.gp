# SPDX-License-Identifier: GPL-3.0-or-later
# What a life hangs on in plain text.
load 'inputs.par'
load 'inputs-size.par'
set terminal dumb noenhanced mono size columns,bars + 5
set encoding utf8
set datafile separator "\t"
unset key
unset border
unset tics
set lmargin 37
set rmargin 4
set tmargin 3
set bmargin 1
set xrange [0:xmax]
set yrange [bars + 0.5:0.5]
set title "what the life hangs on, % of its variance"
plot 'inputs.dat' using (0):1:2:(0) with vectors nohead, \
     '' using (0):1:6 with labels right offset character -1,0 noenhanced
