# embed_texts(output header FUNCTION file ...): writes a C file with one function for each text
# file, returning its contents; the header declares them. The bytes are written as numbers: a string
# literal of a few kilobytes is longer than ISO C promises to take.
function(embed_texts output header)
  set(code "// SPDX-License-Identifier: MIT\n#include \"${header}\"\n")
  while(ARGN)
    list(POP_FRONT ARGN function file)
    # A changed file runs CMake again before the next build.
    set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${file})
    file(READ ${file} bytes HEX)
    string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," bytes "${bytes}")
    string(REGEX REPLACE "(0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,)" "\\1\n"
           bytes "${bytes}")
    string(APPEND code "\nconst char *${function}(void)\n{\n    static const unsigned char text[] "
                       "= {\n${bytes}0};\n    return (const char *)text;\n}\n")
  endwhile()
  file(CONFIGURE OUTPUT ${output} CONTENT "${code}" @ONLY)
endfunction()
