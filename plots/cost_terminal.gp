# SPDX-License-Identifier: GPL-3.0-or-later
# What the run cost in plain text.
load 'cost.par'
load 'cost-size.par'
set terminal dumb noenhanced mono size columns,bars + 5
set encoding utf8
set datafile separator "\t"
unset key
unset border
unset tics
set lmargin 26
set rmargin 24
set tmargin 3
set bmargin 1
set xrange [0:xmax]
set yrange [bars + 0.5:0.5]
set title "what the run cost"
plot 'cost.dat' using (0):1:2:(0) with vectors nohead, \
     '' using (0):1:3 with labels right offset character -1,0 noenhanced, \
     '' using ($2 > 0 ? $2 : 0):1:4 with labels left offset character 2,0 noenhanced
