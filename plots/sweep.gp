# SPDX-License-Identifier: GPL-3.0-or-later
# What moves over a key: `gnuplot sweep.gp` in this folder draws sweep.svg again.
load 'sweep.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'sweep'
set output 'sweep.svg'
set encoding utf8
set datafile separator "\t"
unset key
set multiplot

set lmargin at screen 76.0 / wide
set rmargin at screen 1.0
set tmargin at screen 1.0
set bmargin at screen 1.0 - 52.0 / high
set xrange [0:1]
set yrange [0:1]
unset border
unset tics
plot 'sweep-title.dat' using (0):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (0):(0.2):1 with labels left textcolor rgb '#505050' noenhanced
The answers that move: money, then what moves most; a gap: it never came
e

do for [k = 1:panels] {
    # one unit is one px, the origin stands at the upper left
    set lmargin at screen 0
    set rmargin at screen 1
    set tmargin at screen 1
    set bmargin at screen 0
    set xrange [0:wide]
    set yrange [high:0]
    unset logscale
    unset border
    unset tics
    x0 = value(sprintf('left%d', k))
    y0 = value(sprintf('top%d', k))
    y1 = value(sprintf('low%d', k))
    plot 'sweep-heads.dat' using (x0 - 46):($0 == k - 1 ? y0 - 33 : NaN):1 with labels left font 'sans-serif,12' noenhanced, \
         '' using (x0 - 46):($0 == k - 1 ? y0 - 18 : NaN):2 with labels left font 'sans-serif,11' textcolor rgb '#505050' noenhanced, \
         '' using (x0 - 10):($0 == k - 1 ? y1 + 42 : NaN):3 with labels left font 'sans-serif,11' textcolor rgb '#505050' noenhanced

    low = value(sprintf('ymin%d', k))
    set lmargin at screen 1.0 * x0 / wide
    set rmargin at screen 1.0 * value(sprintf('right%d', k)) / wide
    set tmargin at screen 1.0 - 1.0 * y0 / high
    set bmargin at screen 1.0 - 1.0 * y1 / high
    set border 3 lc rgb '#505050'
    set xrange [value(sprintf('xmin%d', k)):value(sprintf('xmax%d', k))]
    set yrange [low:value(sprintf('ymax%d', k))]
    set ytics value(sprintf('ystep%d', k)) nomirror out scale 0.6
    if (value(sprintf('xlog%d', k))) {
        set logscale x
        set xtics autofreq nomirror out scale 0.6
    } else {
        unset logscale
        if (words) { unset xtics } else { set xtics value(sprintf('xstep%d', k)) nomirror out scale 0.6 }
    }
    set grid xtics ytics lc rgb '#e4e4e4' lw 0.6 dt solid
    if (lines) {
        plot 'sweep.dat' using ($1 == k ? $2 : NaN):3 with linespoints lc rgb '#0072b2' lw 2 pt 7 ps 0.4
    } else {
        if (words) {
            plot 'sweep.dat' using ($1 == k ? $2 : NaN):3 with points lc rgb '#0072b2' pt 7 ps 0.7, \
                 'sweep-tics.dat' using 1:(low):2 with labels offset character 0,-1 font 'sans-serif,11' noenhanced
        } else {
            plot 'sweep.dat' using ($1 == k ? $2 : NaN):3 with points lc rgb '#0072b2' pt 7 ps 0.4
        }
    }
}
unset multiplot
