# What `cmake --install` puts where: libraries, headers, a CMake package and a pkg-config file.

install(TARGETS coilbed_shared EXPORT coilbed-shared
  LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR})
install(TARGETS coilbed_static EXPORT coilbed-static
  ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR})
install(DIRECTORY include/coilbed DESTINATION ${CMAKE_INSTALL_INCLUDEDIR} FILES_MATCHING PATTERN "*.h")
install(FILES ${PROJECT_BINARY_DIR}/include/coilbed/version.h
  DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/coilbed)

set(coilbed_package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/coilbed)
foreach(kind static shared)
  install(EXPORT coilbed-${kind} NAMESPACE coilbed:: FILE coilbed-${kind}-targets.cmake
    DESTINATION ${coilbed_package_dir})
endforeach()
configure_package_config_file(tools/cmake/coilbed-config.cmake.in
  ${PROJECT_BINARY_DIR}/coilbed-config.cmake INSTALL_DESTINATION ${coilbed_package_dir})
write_basic_package_version_file(${PROJECT_BINARY_DIR}/coilbed-config-version.cmake
  COMPATIBILITY SameMinorVersion)
install(FILES
  ${PROJECT_BINARY_DIR}/coilbed-config.cmake ${PROJECT_BINARY_DIR}/coilbed-config-version.cmake
  tools/cmake/coilbed-dependencies.cmake
  DESTINATION ${coilbed_package_dir})

# The prefix may be chosen as late as `cmake --install --prefix`, so the file finds it by itself.
file(RELATIVE_PATH coilbed_pc_to_prefix
  /${CMAKE_INSTALL_LIBDIR}/pkgconfig /)
string(REGEX REPLACE "/$" "" coilbed_pc_to_prefix "${coilbed_pc_to_prefix}")
set(coilbed_pc_libraries)
foreach(part cvodes nvecserial generic) # recent releases call the last one core
  find_library(coilbed_sundials_${part} NAMES sundials_${part} sundials_core
    HINTS ${SUNDIALS_DIR}/../.. ${SUNDIALS_DIR}/../../..)
  if(coilbed_sundials_${part})
    list(APPEND coilbed_pc_libraries ${coilbed_sundials_${part}})
  endif()
endforeach()
list(APPEND coilbed_pc_libraries ${coilbed_hdf5_libraries} ${UDUNITS2_LIBRARY})
string(REPLACE ";" " " coilbed_pc_libraries "${coilbed_pc_libraries}")
configure_file(tools/cmake/coilbed.pc.in ${PROJECT_BINARY_DIR}/coilbed.pc @ONLY)
install(FILES ${PROJECT_BINARY_DIR}/coilbed.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig)
