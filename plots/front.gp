# SPDX-License-Identifier: GPL-3.0-or-later
# What sits on the resin, by depth, at several dates: `gnuplot front.gp` draws front.svg again.
load 'front.par'
wide = 900.0; high = 560.0
left = 62.0; gap = 22.0
width = (wide - left - 16 - gap * (panels - 1)) / panels
if (width > 330) { width = 330 }
set terminal svg size 900,560 font 'sans-serif,12' background '#ffffff' noenhanced name 'front'
set output 'front.svg'
set encoding utf8
set datafile separator "\t"
unset key
set multiplot
set lmargin at screen left / wide
set rmargin at screen 0.99
set tmargin at screen 1.0
set bmargin at screen 1.0 - 46.0 / high
set xrange [0:1]
set yrange [0:1]
unset border
unset tics
plot 'front-title.dat' using (0):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (0):(0.2):1 with labels left textcolor rgb '#505050' noenhanced
Resin front: what sits on the sites from the inlet (left) to the outlet, cation resin above, anion resin below
e

set border 15 lc rgb '#505050'
set xtics xstep nomirror out scale 0.5
set ytics 25 nomirror out scale 0.5
set xrange [0:deepest]
set yrange [0:100]
set style fill solid 1.0 border lc rgb '#404040'
array shade[14] = [0, 0x56a0d3, 0x9fd0ee, 0xd9a7c7, 0xf2d48a, 0xe8a06a, 0xf6f6f6, \
                   0x5f9ea0, 0xb7b4dd, 0x9ccf9a, 0xe3b35f, 0xd7d7d7, 0xe0a3a3, 0xf6f6f6]
do for [resin = 0:1] {
    set tmargin at screen 1.0 - (72.0 + 232 * resin) / high
    set bmargin at screen 1.0 - (72.0 + 190 + 232 * resin) / high
    first = resin ? 7 : 1
    last = resin ? 13 : 6
    do for [n = 1:panels] {
        at = left + (width + gap) * (n - 1)
        set lmargin at screen at / wide
        set rmargin at screen (at + width) / wide
        if (n == 1) {
            set ylabel (resin ? 'anion resin, % of sites' : 'cation resin, % of sites') offset character 1,0
            set ytics 25 format '%g'
        } else {
            unset ylabel
            set ytics 25 format ''
        }
        if (resin) { set xlabel 'depth, '.xunit offset character 0,0.5; set format x '%g' } else { unset xlabel; set format x '' }
        plot for [k = first:last] 'front.dat' index n - 1 using 1:(k == first ? 0 : 100 * column(k)):(100 * column(k + 1)) \
                 with filledcurves fc rgb shade[k + 1] lw 0.7, \
             for [k = first:last - 1] '' index n - 1 using 1:(100 * column(k + 1)) with lines lc rgb '#404040' lw 0.6, \
             'front-labels.dat' using ($1 == n && $2 == resin && $6 == 1 ? $3 : NaN):(100 * $4):5 with labels noenhanced, \
             '' using ($1 == n && $2 == resin && $6 == 0 ? $3 : NaN):(100 * $4):5 with labels font ',9' noenhanced, \
             'front-dates.dat' using ($1 == n && !resin ? 0 : NaN):(100):2 with labels left offset character 0,0.9 noenhanced
    }
}
unset multiplot
