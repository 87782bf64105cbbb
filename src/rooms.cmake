# One target per room. Flags that every room shares live here and nowhere else.

add_library(mendtone_flags INTERFACE)
target_compile_options(mendtone_flags INTERFACE
  -ffp-contract=off  # figures must not change with the processor
  -Wall -Wextra -Wpedantic -Wshadow
  $<$<CXX_COMPILER_ID:GNU>:-Wno-restrict>  # g++ 12 sees overlaps in std::string that are not there
  $<$<BOOL:${MENDTONE_WARNINGS_AS_ERRORS}>:-Werror>)
if(MENDTONE_SANITIZE)
  target_compile_options(mendtone_flags INTERFACE
    -fsanitize=${MENDTONE_SANITIZE} -fno-sanitize-recover=all -fno-omit-frame-pointer)
  target_link_options(mendtone_flags INTERFACE -fsanitize=${MENDTONE_SANITIZE})
endif()
if(MENDTONE_FUZZ)
  target_compile_options(mendtone_flags INTERFACE -fsanitize=fuzzer-no-link)
endif()

# What nearly every source includes, parsed once for all rooms of one optimisation. The preset `check`
# builds without, so that a forgotten #include shows.
set(mendtone_precompiled <algorithm> <cmath> <functional> <map> <memory> <optional> <span> <string>
    <string_view> <variant> <vector>)

# mendtone_precompile(TARGET COLD [<header>…]): the first target of a kind parses the headers, the
# others of the kind take them over; further headers make a kind of their own.
function(mendtone_precompile target cold)
  string(MAKE_C_IDENTIFIER "MENDTONE_PARSED_${cold}_${ARGN}" kind)
  get_property(first GLOBAL PROPERTY ${kind})
  if(first)
    target_precompile_headers(${target} REUSE_FROM ${first})
  else()
    target_precompile_headers(${target} PRIVATE ${mendtone_precompiled} ${ARGN})
    set_property(GLOBAL PROPERTY ${kind} ${target})
  endif()
endfunction()

# mendtone_room(NAME [COLD] [USES room…] [PRIVATE_LINKS target…] [PRECOMPILE <header>…]):
# src/NAME/*.cpp as mendtone::NAME. COLD: words and files, no figures in loops; built sooner, with
# less optimisation and, where MENDTONE_JOIN_SOURCES is set, the sources of a folder at a time.
function(mendtone_room room)
  cmake_parse_arguments(arg "COLD" "" "USES;PRIVATE_LINKS;PRECOMPILE" ${ARGN})
  file(GLOB_RECURSE sources CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/*.cpp)
  add_library(mendtone_${room} STATIC ${sources})
  add_library(mendtone::${room} ALIAS mendtone_${room})
  set_target_properties(mendtone_${room} PROPERTIES EXPORT_NAME ${room})
  target_compile_features(mendtone_${room} PUBLIC cxx_std_20)
  target_include_directories(mendtone_${room}
    PUBLIC $<BUILD_INTERFACE:${PROJECT_SOURCE_DIR}/include>
           $<INSTALL_INTERFACE:${CMAKE_INSTALL_INCLUDEDIR}>
    PRIVATE ${PROJECT_SOURCE_DIR}/src)
  if(arg_COLD)
    target_compile_options(mendtone_${room} PRIVATE $<$<CONFIG:Release>:-O1>)
    set_target_properties(mendtone_${room} PROPERTIES
      UNITY_BUILD ${MENDTONE_JOIN_SOURCES} UNITY_BUILD_MODE GROUP)
    # A folder is a group; a room without folders is grouped by first letter. A source that is added
    # joins one group and leaves the others as they were.
    foreach(source IN LISTS sources)
      file(RELATIVE_PATH within ${CMAKE_CURRENT_SOURCE_DIR} ${source})
      get_filename_component(group "${within}" DIRECTORY)
      if(group STREQUAL "")
        string(SUBSTRING ${within} 0 1 group)
      endif()
      set_source_files_properties(${source} PROPERTIES UNITY_GROUP ${group})
    endforeach()
  endif()
  mendtone_precompile(mendtone_${room} "${arg_COLD}" ${arg_PRECOMPILE})
  list(TRANSFORM arg_USES PREPEND mendtone_)
  target_link_libraries(mendtone_${room}
    PUBLIC ${arg_USES}
    PRIVATE $<BUILD_INTERFACE:mendtone_flags> ${arg_PRIVATE_LINKS})
  set_property(GLOBAL APPEND PROPERTY MENDTONE_ROOMS mendtone_${room})
endfunction()
