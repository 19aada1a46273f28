# Finds what libcoilbed is made from. Used by the build and, for coilbed::static, by the installed
# package, so that both look in the same way. Set coilbed_find_mode to REQUIRED or QUIET first;
# coilbed_dependencies_found tells the outcome.

find_package(Threads ${coilbed_find_mode})
find_package(PkgConfig ${coilbed_find_mode})
find_package(SUNDIALS 6.1 ${coilbed_find_mode} COMPONENTS cvodes nvecserial)
if(PKG_CONFIG_FOUND)
  pkg_check_modules(FYAML ${coilbed_find_mode} IMPORTED_TARGET libfyaml)
  pkg_check_modules(NETTLE ${coilbed_find_mode} IMPORTED_TARGET nettle)
  pkg_check_modules(GSL ${coilbed_find_mode} IMPORTED_TARGET gsl)
  pkg_check_modules(DEFLATE ${coilbed_find_mode} IMPORTED_TARGET libdeflate)
endif()
find_package(HDF5 ${coilbed_find_mode} COMPONENTS C HL)
find_path(UDUNITS2_INCLUDE_DIR udunits2.h PATH_SUFFIXES udunits2)
find_library(UDUNITS2_LIBRARY udunits2)

if(HDF5_FOUND AND NOT TARGET coilbed_hdf5)
  # The list also names what HDF5 itself is linked with; a shared HDF5 brings those along.
  set(coilbed_hdf5_libraries ${HDF5_C_HL_LIBRARIES} ${HDF5_C_LIBRARIES})
  if(NOT coilbed_hdf5_libraries MATCHES "hdf5[a-z_]*\\.a")
    list(FILTER coilbed_hdf5_libraries INCLUDE REGEX "hdf5[^/]*$")
  endif()
  list(REMOVE_DUPLICATES coilbed_hdf5_libraries)
  add_library(coilbed_hdf5 INTERFACE IMPORTED)
  set_target_properties(coilbed_hdf5 PROPERTIES
    INTERFACE_INCLUDE_DIRECTORIES "${HDF5_C_INCLUDE_DIRS}"
    INTERFACE_LINK_LIBRARIES "${coilbed_hdf5_libraries}")
endif()
if(UDUNITS2_LIBRARY AND UDUNITS2_INCLUDE_DIR AND NOT TARGET coilbed_udunits2)
  add_library(coilbed_udunits2 INTERFACE IMPORTED)
  set_target_properties(coilbed_udunits2 PROPERTIES
    INTERFACE_INCLUDE_DIRECTORIES "${UDUNITS2_INCLUDE_DIR}"
    INTERFACE_LINK_LIBRARIES "${UDUNITS2_LIBRARY}")
endif()

set(coilbed_dependencies_found TRUE)
foreach(needed SUNDIALS::cvodes SUNDIALS::nvecserial PkgConfig::FYAML PkgConfig::NETTLE PkgConfig::GSL
               PkgConfig::DEFLATE coilbed_hdf5 coilbed_udunits2 Threads::Threads)
  if(NOT TARGET ${needed})
    set(coilbed_dependencies_found FALSE)
    if(coilbed_find_mode STREQUAL "REQUIRED")
      message(FATAL_ERROR "coilbed needs ${needed}, which was not found")
    endif()
  endif()
endforeach()
