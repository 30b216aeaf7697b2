# SPDX-License-Identifier: GPL-3.0-or-later
# The resin at the last date in plain text; unstacked shares.
load 'front.par'
load 'front-size.par'
set terminal dumb noenhanced mono size columns,19
set encoding utf8
set datafile separator "\t"
unset key
set xrange [0:deepest]
set yrange [0:100]
set title "cation resin at the last date, % of sites against depth in ".(xunit eq 'in' ? 'inches' : xunit)."\nC Ca   M Mg   K K   A NH4   N Na   . free"
plot 'front.dat' index panels - 1 using 1:(100*($7-$6)) with points pt '.', '' index panels - 1 using 1:(100*$2) with points pt 'C', \
     '' index panels - 1 using 1:(100*($3-$2)) with points pt 'M', '' index panels - 1 using 1:(100*($4-$3)) with points pt 'K', \
     '' index panels - 1 using 1:(100*($5-$4)) with points pt 'A', '' index panels - 1 using 1:(100*($6-$5)) with points pt 'N'
set title "anion resin at the last date, % of sites against depth in ".(xunit eq 'in' ? 'inches' : xunit)."\nS SO4   N NO3   C Cl   B HCO3   I SiO2   F F   . free"
plot 'front.dat' index panels - 1 using 1:(100*($14-$13)) with points pt '.', '' index panels - 1 using 1:(100*$8) with points pt 'S', \
     '' index panels - 1 using 1:(100*($9-$8)) with points pt 'N', '' index panels - 1 using 1:(100*($10-$9)) with points pt 'C', \
     '' index panels - 1 using 1:(100*($11-$10)) with points pt 'B', '' index panels - 1 using 1:(100*($12-$11)) with points pt 'I', \
     '' index panels - 1 using 1:(100*($13-$12)) with points pt 'F'
