# SPDX-License-Identifier: GPL-3.0-or-later
# What the chance of a spill is made of: `gnuplot shares.gp` in this folder draws shares.svg again.
load 'shares.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'shares'
set output 'shares.svg'
set encoding utf8
set datafile separator "\t"
set datafile missing 'NaN'
unset key
set multiplot

# the title begins where those of the other figures do
set lmargin at screen 76.0 / wide
set rmargin at screen 1.0
set tmargin at screen 1.0
set bmargin at screen 1.0 - 52.0 / high
set xrange [0:1]
set yrange [0:1]
unset border
unset tics
plot 'shares-title.dat' using (0):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (0):(0.2):1 with labels left textcolor rgb '#505050' noenhanced
What a spill would come from; dot: mean, line: 5 to 95 % of what the rates may be
e

# heads stand over the names, in px
set tmargin at screen top1
set bmargin at screen low1
set yrange [frame:0]
plot 'shares-heads.dat' using (0):1:2 with labels left textcolor rgb '#505050' noenhanced

set border 1 lc rgb '#505050'
set xtics nomirror out scale 0.6
set grid xtics lc rgb '#d8d8d8' lw 0.8 dt solid
set lmargin at screen 1.0 * left / wide
set rmargin at screen 1.0 * right / wide
set xrange [0:100]
set xtics 20
set xlabel 'share of all spills, %' offset character 0,0.2
plot 'shares.dat' using ($2 / 2):1:(0):2:($1 - 7):($1 + 7):(strcol(6) eq 'p' ? 0xf8d8b0 : strcol(6) eq 'a' ? 0xd0d0d0 : 0x9cc6e0) with boxxyerror fc rgb variable fs solid 1.0 border lc rgb '#505050', \
     '' using ($2 < 82 ? $2 : NaN):1:($2 >= 1 ? sprintf('%.0f %%', $2) : $2 > 0 ? 'under 1 %' : '0 %') with labels left offset character 0.6,0 noenhanced, \
     '' using ($2 < 82 ? NaN : $2):1:(sprintf('%.0f %%', $2)) with labels right offset character -0.6,0 noenhanced, \
     'shares-labels.dat' using (0):1:2 with labels right offset character -1,0 noenhanced

set lmargin at screen 1.0 * (right + 62) / wide
set rmargin at screen 1.0 - 135.0 / wide
set logscale x
set xrange [xmin:xmax]
set xtics ("" 1e-10, "1 billion" 1e-9, "" 1e-8, "10 million" 1e-7, "" 1e-6, "100 000" 1e-5, "" 1e-4, "1000" 1e-3, "" 1e-2, "10" 1e-1, "" 1, "0.1" 10, "" 100)
set xlabel 'once in so many years (logarithmic)' offset character 0,0.2
plot 'shares.dat' using 3:1:($5 - $3):(0) with vectors nohead lc rgb '#505050' lw 1.6, \
     '' using 3:1 with points pt '|' lc rgb '#505050', \
     '' using 5:1 with points pt '|' lc rgb '#505050', \
     '' using 4:1 with points pt 7 ps 0.8 lc rgb '#000000', \
     '' using (xmax):1:7 with labels left offset character 1,0 noenhanced
unset multiplot
