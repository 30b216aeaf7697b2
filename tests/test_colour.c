/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Colours of the figures: told apart by all eyes, words readable, and never colour alone.
 *
 * sRGB: IEC 61966-2-1.  Deficiencies: Machado, Oliveira & Fernandes, "A physiologically-based model
 * for simulation of color vision deficiency", IEEE Trans. Vis. Comput. Graph. 15 (2009) 1291,
 * severity 1, on linear values; the matrices are from memory, checked below by what must hold of
 * them.  Distance: CIE 1976 L*a*b* under D65, of which about 2.3 is just seen (Mahy, Van Eycken &
 * Oosterlinck, Color Res. Appl. 19 (1994) 105).  Contrast: WCAG 2.1, success criterion 1.4.3.
 */
#include <criterion/criterion.h>
#include <glob.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "sim/sheet.h"

/* Assumption: nine times what is just seen, for lines a few px wide, apart from each other. */
static const double APART = 20.0;
/* Areas that touch, with a line between and their name inside. */
static const double TOUCHING = 9.0;
static const double READABLE = 4.5;

enum { EYES = 4, COLOURS_MAX = 64 };

static const char *const eye_name[EYES] = { "usual", "protanopia", "deuteranopia", "tritanopia" };

static const double eye[EYES][3][3] = {
    { { 1.0, 0.0, 0.0 }, { 0.0, 1.0, 0.0 }, { 0.0, 0.0, 1.0 } },
    { { 0.152286, 1.052583, -0.204868 },
      { 0.114503, 0.786281, 0.099216 },
      { -0.003882, -0.048116, 1.051998 } },
    { { 0.367322, 0.860646, -0.227968 },
      { 0.280085, 0.672501, 0.047413 },
      { -0.011820, 0.042940, 0.968881 } },
    { { 1.255528, -0.076749, -0.178779 },
      { -0.078411, 0.930809, 0.147602 },
      { 0.004733, 0.691367, 0.303900 } },
};

static void linear_of(int colour, double out[3])
{
    for (int i = 0; i < 3; i++) {
        const double c = ((colour >> (16 - 8 * i)) & 0xff) / 255.0;
        out[i] = c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4);
    }
}

static void seen_by(int which, int colour, double out[3])
{
    double rgb[3];
    linear_of(colour, rgb);
    for (int i = 0; i < 3; i++) {
        out[i] = 0.0;
        for (int j = 0; j < 3; j++)
            out[i] += eye[which][i][j] * rgb[j];
        out[i] = fmin(fmax(out[i], 0.0), 1.0);
    }
}

static double luminance(const double rgb[3])
{
    return 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2];
}

static void lab_of(const double rgb[3], double out[3])
{
    static const double xyz[3][3] = { { 0.4124564, 0.3575761, 0.1804375 },
                                      { 0.2126729, 0.7151522, 0.0721750 },
                                      { 0.0193339, 0.1191920, 0.9503041 } };
    static const double white[3] = { 0.95047, 1.0, 1.08883 };
    double f[3];
    for (int i = 0; i < 3; i++) {
        double t = 0.0;
        for (int j = 0; j < 3; j++)
            t += xyz[i][j] * rgb[j] / white[i];
        f[i] = t > 216.0 / 24389.0 ? cbrt(t) : (24389.0 / 27.0 * t + 16.0) / 116.0;
    }
    out[0] = 116.0 * f[1] - 16.0;
    out[1] = 500.0 * (f[0] - f[1]);
    out[2] = 200.0 * (f[1] - f[2]);
}

static double distance(int which, int a, int b)
{
    double x[3], y[3], la[3], lb[3];
    seen_by(which, a, x);
    seen_by(which, b, y);
    lab_of(x, la);
    lab_of(y, lb);
    return sqrt((la[0] - lb[0]) * (la[0] - lb[0]) + (la[1] - lb[1]) * (la[1] - lb[1]) +
                (la[2] - lb[2]) * (la[2] - lb[2]));
}

static double contrast(int a, int b)
{
    double x[3], y[3];
    linear_of(a, x);
    linear_of(b, y);
    const double high = fmax(luminance(x), luminance(y)), low = fmin(luminance(x), luminance(y));
    return (high + 0.05) / (low + 0.05);
}

/* ---- the yardstick itself ---------------------------------------------------------------------
 */

Test(colour, greys_look_the_same_to_all_eyes)
{
    for (int which = 0; which < EYES; which++)
        for (int g = 0; g < 256; g += 5) {
            double lab[3], rgb[3];
            seen_by(which, g << 16 | g << 8 | g, rgb);
            lab_of(rgb, lab);
            cr_expect_lt(hypot(lab[1], lab[2]), 0.5, "%s, %d", eye_name[which], g);
        }
}

Test(colour, each_deficiency_confuses_what_it_must)
{
    /* pure red and green of like lightness for the first two; blue and green, pale, for the third
     */
    cr_expect_gt(distance(0, 0xb05050, 0x5c7a3c), 3.0 * distance(2, 0xb05050, 0x7a7040));
    cr_expect_lt(distance(1, 0x9b6a3a, 0x6f7a3a), 0.5 * distance(0, 0x9b6a3a, 0x6f7a3a));
    cr_expect_lt(distance(2, 0xa8783c, 0x7f863c), 0.5 * distance(0, 0xa8783c, 0x7f863c));
    cr_expect_lt(distance(3, 0x4f8fb4, 0x3f9a86), 0.5 * distance(0, 0x4f8fb4, 0x3f9a86));
    cr_expect_gt(distance(3, 0xc04a00, 0x00795a), 0.5 * distance(0, 0xc04a00, 0x00795a));
}

Test(colour, distances_and_contrasts_are_those_of_the_standards)
{
    cr_expect_float_eq(distance(0, 0x000000, 0xffffff), 100.0, 0.01);
    cr_expect_float_eq(contrast(0x000000, 0xffffff), 21.0, 1e-9);
    cr_expect_float_eq(contrast(0x767676, 0xffffff), 4.54, 0.01, "the grey that just passes");
}

/* ---- the palette ------------------------------------------------------------------------------
 */

static const int palette[] = { BLACK, BLUE, VERMILION, GREEN, PURPLE, GREY };
enum { PALETTE = sizeof palette / sizeof palette[0] };

Test(colour, any_two_series_are_told_apart_by_all_eyes)
{
    for (int which = 0; which < EYES; which++)
        for (int i = 0; i < PALETTE; i++)
            for (int j = 0; j < i; j++)
                cr_expect_geq(distance(which, palette[i], palette[j]), APART, "%s: %06x and %06x",
                              eye_name[which], (unsigned)palette[i], (unsigned)palette[j]);
}

Test(colour, words_of_a_series_can_be_read_on_white)
{
    for (int i = 0; i < PALETTE; i++)
        cr_expect_geq(contrast(palette[i], 0xffffff), READABLE, "%06x", (unsigned)palette[i]);
}

/* ---- the scripts ------------------------------------------------------------------------------
 */

static char *read_whole(const char *path)
{
    FILE *f = fopen(path, "r");
    cr_assert_not_null(f, "%s", path);
    char *text = calloc(1, 1 << 16);
    const size_t n = fread(text, 1, (1 << 16) - 1, f);
    fclose(f);
    cr_assert(n > 0 && n < (1 << 16) - 1, "%s", path);
    return text;
}

/* The next colour, '#rrggbb' or 0xrrggbb, from *at on; -1 at the end. */
static int next_colour(const char **at)
{
    for (const char *p = *at; *p; p++) {
        const int skip = *p == '#' ? 1 : p[0] == '0' && p[1] == 'x' ? 2 : 0;
        char *end;
        if (skip == 0 || strspn(p + skip, "0123456789abcdef") < 6)
            continue;
        const long colour = strtol(p + skip, &end, 16);
        if (end - p - skip != 6)
            continue;
        *at = end;
        return (int)colour;
    }
    return -1;
}

static bool in_palette(int colour)
{
    for (int i = 0; i < PALETTE; i++)
        if (palette[i] == colour)
            return true;
    return false;
}

/* The dark colours of lines and words come from the palette.  Others: greys, and the shades of blue
 * of the map of rinses, which are one scale from dark to pale. */
static bool is_of_its_own(int colour)
{
    const int r = colour >> 16, g = (colour >> 8) & 0xff, b = colour & 0xff;
    return (r == g && g == b) || contrast(colour, 0xffffff) < READABLE || colour == 0x00507c;
}

static void each_script(void (*look)(const char *path, const char *text))
{
    glob_t found;
    cr_assert_eq(glob("plots/*.gp", 0, NULL, &found), 0, "run from the folder of the project");
    int looked = 0;
    for (size_t i = 0; i < found.gl_pathc; i++) {
        if (strstr(found.gl_pathv[i], "_terminal"))
            continue;
        char *text = read_whole(found.gl_pathv[i]);
        look(found.gl_pathv[i], text);
        free(text);
        looked++;
    }
    cr_expect_gt(looked, 12);
    globfree(&found);
}

static void look_at_colours(const char *path, const char *text)
{
    int colours = 0;
    for (int colour; (colour = next_colour(&text)) >= 0; colours++)
        cr_expect(in_palette(colour) || is_of_its_own(colour), "%s: %06x", path, (unsigned)colour);
    cr_expect_gt(colours, 0, "%s", path);
}

Test(colour, scripts_use_the_palette)
{
    each_script(look_at_colours);
}

static void look_at_words(const char *path, const char *text)
{
    for (const char *at = text; (at = strstr(at, "textcolor rgb '#")) != NULL;) {
        const int colour = next_colour(&at);
        cr_expect_geq(contrast(colour, 0xffffff), READABLE, "%s: %06x", path, (unsigned)colour);
    }
}

Test(colour, words_of_the_scripts_can_be_read_on_white)
{
    each_script(look_at_words);
}

/* The dash of the curve that begins at `with`, up to its comma outside of brackets; "" is a whole
 * line. */
static void dash_of(const char *with, char out[32])
{
    int deep = 0;
    size_t n = 0;
    out[0] = '\0';
    for (const char *p = with; *p && *p != '\n' && !(*p == ',' && deep == 0); p++) {
        deep += (*p == '(') - (*p == ')');
        if (strncmp(p, " dt ", 4) == 0)
            for (const char *d = p + 4; *d && *d != ' ' && n < 31; d++) {
                out[n++] = *d;
                if (*d == ')')
                    break;
            }
    }
    out[n] = '\0';
}

/* In one plot command curves of different colours have different dashes. */
static void look_at_command(const char *path, const char *from, const char *to)
{
    static const char *const styles[] = { "with lines lc rgb '#", "with histeps lc rgb '#",
                                          "with @path lc rgb '#" };
    struct curve {
        int colour;
        char dash[32];
    } curve[16];
    int curves = 0;
    for (size_t i = 0; i < sizeof styles / sizeof *styles; i++)
        for (const char *at = from;
             (at = strstr(at, styles[i])) != NULL && at < to && curves < 16;) {
            dash_of(at, curve[curves].dash);
            curve[curves].colour = next_colour(&at);
            curves += in_palette(curve[curves].colour) && curve[curves].colour != GREY;
        }
    for (int i = 0; i < curves; i++)
        for (int j = 0; j < i; j++)
            if (curve[i].colour != curve[j].colour)
                cr_expect_str_neq(curve[i].dash, curve[j].dash, "%s: %06x and %06x", path,
                                  (unsigned)curve[i].colour, (unsigned)curve[j].colour);
}

static void look_at_dashes(const char *path, const char *text)
{
    cr_expect(strstr(text, "with labels"), "%s has no words", path);
    for (const char *at = text; (at = strstr(at, "plot ")) != NULL;) {
        const char *end = at;
        do
            end += strcspn(end, "\n") + (end[strcspn(end, "\n")] != '\0');
        while (*end && end[-2] == '\\');
        look_at_command(path, at, end);
        at = end;
    }
}

Test(colour, curves_of_a_panel_differ_by_dash_too)
{
    each_script(look_at_dashes);
}

static void look_at_shades(const char *path)
{
    char *text = read_whole(path);
    const char *at = strstr(text, "array shade[14] = [0,");
    int shade[13], n = 0;
    cr_assert_not_null(at);
    while (n < 13 && (shade[n] = next_colour(&at)) >= 0)
        n++;
    cr_assert_eq(n, 13);
    for (int which = 0; which < EYES; which++)
        for (int i = 1; i < n; i++)
            if (i != 6) /* there the other resin begins */
                cr_expect_geq(distance(which, shade[i], shade[i - 1]), TOUCHING,
                              "%s: %06x and %06x", eye_name[which], (unsigned)shade[i],
                              (unsigned)shade[i - 1]);
    free(text);
}

Test(colour, areas_of_the_resin_that_touch_are_told_apart)
{
    look_at_shades("plots/front.gp");
    look_at_shades("plots/film.gp");
}
