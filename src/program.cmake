# The program: both doors. It stands where the command line is built, as scripts expect.
add_executable(mendtone src/main.cpp)
target_include_directories(mendtone PRIVATE ${PROJECT_SOURCE_DIR}/src)
target_compile_definitions(mendtone PRIVATE MENDTONE_VERSION="${PROJECT_VERSION}")
target_compile_options(mendtone PRIVATE $<$<CONFIG:Release>:-O1>)
set_target_properties(mendtone PROPERTIES RUNTIME_OUTPUT_DIRECTORY ${PROJECT_BINARY_DIR}/src/cli)
target_link_libraries(mendtone PRIVATE mendtone_cli mendtone_bench mendtone_flags)
# Started when a picture or a spreadsheet is read, never linked.
add_dependencies(mendtone mendtone-pictures mendtone-sheets)
install(TARGETS mendtone DESTINATION ${CMAKE_INSTALL_BINDIR})
