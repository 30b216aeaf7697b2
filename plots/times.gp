# SPDX-License-Identifier: GPL-3.0-or-later
# How soon water is on the floor: `gnuplot times.gp` in this folder draws times.svg again.
load 'times.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'times'
set output 'times.svg'
set encoding utf8
set datafile separator "\t"
unset key
set multiplot
set rmargin at screen 1.0 * right / wide

# the title begins where those of the other figures do
set lmargin at screen 76.0 / wide
set tmargin at screen 1.0
set bmargin at screen 1.0 - 52.0 / high
set xrange [0:1]
set yrange [0:1]
unset border
unset tics
plot 'times-title.dat' using (0):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (0):(0.2):1 with labels left textcolor rgb '#505050' noenhanced
How soon water is on the floor: the smallest sets of faults that spill, worst first
e

# what the marks mean and what stands beside the frame, in px
set lmargin at screen 0
set rmargin at screen 1
set tmargin at screen 1.0 - 52.0 / high
set bmargin at screen top1
set xrange [0:wide]
plot '-' using 1:(0.5) with points pt 7 ps 0.9 lc rgb '#c04a00', \
     '-' using 1:(0.5) with points pt 9 ps 1.1 lc rgb '#0072b2', \
     '-' using 1:(0.5):2 with labels left offset character 1.4,0 textcolor rgb '#505050' noenhanced, \
     'times-words.dat' using (right + 18):(strcol(1) eq 'beside' ? 0.5 : NaN):2 with labels left textcolor rgb '#505050' noenhanced
256
e
410
e
256	the tank runs over
410	the served water runs over
e
set tmargin at screen low1
set bmargin at screen 0
plot 'times-words.dat' using (left - 8):(strcol(1) eq 'below' ? 0.66 : NaN):2 with labels right textcolor rgb '#505050' noenhanced

set rmargin at screen 1.0 * right / wide
set border 1 lc rgb '#505050'
set logscale x
set xtics nomirror out scale 0.6 ("10 s" 10.0 / 3600, "1 min" 1.0 / 60, "10 min" 1.0 / 6, "1 h" 1, "6 h" 6, "1 day" 24, \
    "3 days" 72, "1 week" 168, "4 weeks" 672, "half a year" 4380)
if (xmax / xmin < 3000) set xtics add ("30 min" 0.5, "2 h" 2, "12 h" 12)
set grid xtics lc rgb '#d0d0d0' lw 0.8 dt solid
set xlabel 'time from the first fault to the first drop over a rim (logarithmic)' offset character 0,0.2
set lmargin at screen 1.0 * left / wide
set tmargin at screen top1
set bmargin at screen low1
set xrange [xmin:xmax]
set yrange [frame:0]
set clip points
plot 'times.dat' using (xmin):1:($2 - xmin):(0) with vectors nohead lc rgb '#909090' lw 1.5, \
     '' using (strcol(3) eq 't' ? $2 : NaN):1 with points pt 7 ps 0.9 lc rgb '#c04a00', \
     '' using (strcol(3) eq 's' ? $2 : NaN):1 with points pt 9 ps 1.1 lc rgb '#0072b2', \
     '' using 2:1:4 with labels left offset character 1.2,0 noenhanced, \
     '' using (xmax):1:5 with labels left offset character 1.5,0 noenhanced, \
     'times-labels.dat' using (xmin):1:2 with labels right offset character -1,0 noenhanced
unset multiplot
