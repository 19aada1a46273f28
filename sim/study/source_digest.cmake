# cmake -DSOURCE=project -DOUTPUT=file.c -P source_digest.cmake: writes cbx_source_digest().
set(sources)
foreach(room base units field design weather ground loop plant house engine record findings study)
  file(GLOB_RECURSE found RELATIVE ${SOURCE} ${SOURCE}/sim/${room}/*.c ${SOURCE}/sim/${room}/*.h
    ${SOURCE}/sim/${room}/*.yaml)
  list(APPEND sources ${found})
endforeach()
file(GLOB found RELATIVE ${SOURCE} ${SOURCE}/include/coilbed/*.h)
list(APPEND sources ${found})
list(SORT sources)
set(digests)
foreach(source ${sources})
  file(SHA256 ${SOURCE}/${source} digest)
  string(APPEND digests "${digest} ${source}\n")
endforeach()
string(SHA256 digest "${digests}")
set(code "// SPDX-License-Identifier: MIT
#include \"study/source_digest.h\"

const char *cbx_source_digest(void)
{
    return \"${digest}\";
}
")
set(before)
if(EXISTS ${OUTPUT})
  file(READ ${OUTPUT} before)
endif()
if(NOT before STREQUAL code)
  file(WRITE ${OUTPUT} "${code}")
endif()
