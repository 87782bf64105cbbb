# find_package(mendtone) gives mendtone::mendtone, or one room (mendtone::colour) for those who
# want less.
include(CMakePackageConfigHelpers)

get_property(rooms GLOBAL PROPERTY MENDTONE_ROOMS)
add_library(mendtone_all INTERFACE)
add_library(mendtone::mendtone ALIAS mendtone_all)
set_target_properties(mendtone_all PROPERTIES EXPORT_NAME mendtone)
target_link_libraries(mendtone_all INTERFACE ${rooms})

# Joined, one use-case would bring its whole folder into a program that wants no more than it.
if(MENDTONE_JOIN_SOURCES)
  install(CODE "message(STATUS \"These libraries have joined sources. To build on them, configure with -DMENDTONE_JOIN_SOURCES=OFF and install again.\")")
endif()
install(TARGETS ${rooms} mendtone_all EXPORT mendtone_targets
        ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR})
install(DIRECTORY ${PROJECT_SOURCE_DIR}/include/mendtone DESTINATION ${CMAKE_INSTALL_INCLUDEDIR})
install(EXPORT mendtone_targets NAMESPACE mendtone::
        DESTINATION ${CMAKE_INSTALL_LIBDIR}/cmake/mendtone)
configure_package_config_file(${CMAKE_CURRENT_LIST_DIR}/mendtone-config.cmake.in
  ${PROJECT_BINARY_DIR}/mendtone-config.cmake
  INSTALL_DESTINATION ${CMAKE_INSTALL_LIBDIR}/cmake/mendtone)
write_basic_package_version_file(${PROJECT_BINARY_DIR}/mendtone-config-version.cmake
  COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/mendtone-config.cmake
              ${PROJECT_BINARY_DIR}/mendtone-config-version.cmake
        DESTINATION ${CMAKE_INSTALL_LIBDIR}/cmake/mendtone)
