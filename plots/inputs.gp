# SPDX-License-Identifier: GPL-3.0-or-later
# What a life hangs on: `gnuplot inputs.gp` in this folder draws inputs.svg again.
load 'inputs.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'inputs'
set output 'inputs.svg'
set encoding utf8
set datafile separator "\t"
unset key
set multiplot
set rmargin at screen 1.0 * right / wide

# the title begins where those of the other figures do
set lmargin at screen 76.0 / wide
set tmargin at screen 1.0
set bmargin at screen top1
set xrange [0:1]
set yrange [0:1]
unset border
unset tics
plot 'inputs-title.dat' using (0):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     'inputs-labels.dat' using (0):(0.2):1 with labels left textcolor rgb '#505050' noenhanced

set border 3 lc rgb '#505050'
set xtics xstep nomirror out scale 0.6
set grid xtics lc rgb '#e4e4e4' lw 0.6 dt solid
set lmargin at screen 1.0 * left / wide
set tmargin at screen top1
set bmargin at screen low1
set xrange [0:xmax]
set yrange [bars + 0.5:0.5]
plot 'inputs.dat' using ($2 / 2):1:(0):2:($1 - 0.3):($1 + 0.3) with boxxyerror fc rgb '#9cc6e0' fs solid 1.0 border lc rgb '#0072b2', \
     '' using ($5 / 2):1:(0):5:($1 - 0.12):($1 + 0.12) with boxxyerror fc rgb '#0072b2' fs solid 1.0 noborder, \
     '' using 2:1:3:4 with xerrorbars pt 0 lc rgb '#202020' lw 1.2, \
     '' using (0):1:6 with labels right offset character -0.8,0 noenhanced
unset multiplot
