# SPDX-License-Identifier: GPL-3.0-or-later
#
# Turns plots/*.gp, scenarios/*.cfg, scenarios/lessons/*.cfg and what a report needs into one C file with the arrays of
# sim/embed.h:
#   cmake -DSOURCE=<top folder> -DOUT=<file.c> -P plots/embed.cmake
# Bytes are written as character constants, so that any text compiles without a warning.

function(embed_list array)
  set(files "")
  foreach(pattern IN LISTS ARGN)
    file(GLOB some "${SOURCE}/${pattern}")
    list(SORT some)
    list(APPEND files ${some})
  endforeach()
  set(rows "")
  foreach(file IN LISTS files)
    get_filename_component(name "${file}" NAME)
    string(MAKE_C_IDENTIFIER "text_${name}" id)
    file(READ "${file}" bytes HEX)
    string(LENGTH "${bytes}" size)
    math(EXPR size "${size} / 2")
    string(REGEX REPLACE "(................................)" "\\1\n    " bytes "${bytes}")
    string(REGEX REPLACE "([0-9a-f][0-9a-f])" "'\\\\x\\1', " bytes "${bytes}")
    string(REGEX REPLACE " \n" "\n" bytes "${bytes}")
    file(APPEND "${OUT}.new" "static const char ${id}[] = {\n    ${bytes}'\\0'\n};\n\n")
    string(APPEND rows "    { \"${name}\", ${id}, ${size} },\n")
  endforeach()
  file(APPEND "${OUT}.new" "const struct embedded ${array}[] = {\n${rows}    { NULL, NULL, 0 }\n};\n\n")
endfunction()

file(WRITE "${OUT}.new" "/* Made by plots/embed.cmake: do not edit. */\n#include \"sim/embed.h\"\n\n")
embed_list(embedded_plots "plots/*.gp")
embed_list(embedded_scenarios "scenarios/*.cfg" "scenarios/lessons/*.cfg")
embed_list(embedded_pages "docs/cautions.md" "docs/glossary.md" "sim/page.css")
file(RENAME "${OUT}.new" "${OUT}")
