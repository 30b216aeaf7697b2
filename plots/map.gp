# SPDX-License-Identifier: GPL-3.0-or-later
# What moves over two keys: `gnuplot map.gp` in this folder draws map.svg again.
load 'map.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'map'
set output 'map.svg'
set encoding utf8
set datafile separator "\t"
unset key
set multiplot
unset border
unset tics

# one unit is one px, the origin stands at the upper left
set lmargin at screen 0
set rmargin at screen 1
set tmargin at screen 1
set bmargin at screen 0
set xrange [0:wide]
set yrange [high:0]
plot 'map-title.dat' using (76):(17):1 with labels left font 'sans-serif,15' noenhanced, \
     'map-words.dat' using (76):(42):1 with labels left textcolor rgb '#505050' noenhanced

do for [k = 1:panels] {
    x0 = value(sprintf('left%d', k))
    y0 = value(sprintf('top%d', k))
    y1 = value(sprintf('low%d', k))
    cell = 1.0 * (value(sprintf('right%d', k)) - x0) / across
    rise = 1.0 * (y1 - y0) / down
    x(i) = x0 + (i - 0.5) * cell
    y(i) = y1 - (i - 0.5) * rise
    plot 'map-heads.dat' using (x0 - 46):($0 == k - 1 ? y0 - 33 : NaN):1 with labels left font 'sans-serif,12' noenhanced, \
         '' using (x0 - 46):($0 == k - 1 ? y0 - 18 : NaN):2 with labels left font 'sans-serif,11' textcolor rgb '#505050' noenhanced, \
         'map.dat' using ($1 == k ? x($2) : NaN):(y($3)):(x($2) - cell / 2):(x($2) + cell / 2):(y($3) - rise / 2):(y($3) + rise / 2):4 with boxxyerror fc rgb variable fs solid 1.0 noborder, \
         '' using ($1 == k ? x($2) : NaN):(y($3)):6:5 with labels font 'sans-serif,10' textcolor rgb variable noenhanced, \
         'map-tics.dat' using (strcol(1) eq 'x' ? x($2) : NaN):(y1 + 11):3 with labels font 'sans-serif,11' noenhanced, \
         '' using (strcol(1) eq 'y' ? x0 - 5 : NaN):(y($2)):3 with labels right font 'sans-serif,11' noenhanced
}
unset multiplot
