# What is put on a terminal stands there: an emulator reads it back.
cmake_minimum_required(VERSION 3.20)
set(python /usr/bin/python3)
if(NOT EXISTS ${python})
  message("SKIPPED: no ${python}")
  return()
endif()
execute_process(COMMAND ${python} ${TOP}/tests/cli/terminal.py
  ${BUILD}/tests/show_grids 500
  RESULT_VARIABLE status OUTPUT_VARIABLE said ERROR_VARIABLE said)
message("${said}")
if(NOT status EQUAL 0 AND NOT status EQUAL 77)
  message(FATAL_ERROR "terminal.py ended with ${status}")
endif()
