# Another reader of frames than ours reads what the simulator wrote.
cmake_minimum_required(VERSION 3.20)
set(made ${BUILD}/scapy)
set(python /usr/bin/python3)
if(NOT EXISTS ${python})
  message("SKIPPED: no ${python}")
  return()
endif()
file(REMOVE_RECURSE ${made})
file(MAKE_DIRECTORY ${made})
execute_process(COMMAND ${BUILD}/tests/make_boat
  ${TOP}/tests/sim/every_message.sim ${made} RESULT_VARIABLE status)
if(NOT status EQUAL 0)
  message(FATAL_ERROR "make_boat ended with ${status}")
endif()
execute_process(COMMAND ${python} ${TOP}/tests/sim/read_back.py
  ${made}/frames.pcapng ${made}/truth.json
  RESULT_VARIABLE status OUTPUT_VARIABLE said ERROR_VARIABLE said)
message("${said}")
if(NOT status EQUAL 0 AND NOT status EQUAL 77)
  message(FATAL_ERROR "read_back.py ended with ${status}")
endif()
