# The shared library builds, and gives out its face and nothing else; the face
# judges a demo boat.
cmake_minimum_required(VERSION 3.20)
set(out ${BUILD}/shared)
file(REMOVE_RECURSE ${out})
function(step)
  execute_process(COMMAND ${ARGN} RESULT_VARIABLE code OUTPUT_VARIABLE said ERROR_VARIABLE said)
  if(NOT code EQUAL 0)
    message(FATAL_ERROR "${ARGN}: ${code}\n${said}")
  endif()
  set(said "${said}" PARENT_SCOPE)
endfunction()
step(${CMAKE_COMMAND} -DBUILD_SHARED_LIBS=ON -DBUILD_TESTING=OFF
  -DCMAKE_INSTALL_PREFIX=${out}/root -DCMAKE_INSTALL_LIBDIR=lib -B ${out} ${TOP})
step(${CMAKE_COMMAND} --build ${out} -j 2 --target install)
step(nm -D --defined-only ${out}/root/lib/libfairlead.so)
string(REGEX MATCHALL "[TDBR] [a-z_]+" given "${said}")
if(NOT given STREQUAL "T fl_judge_captures;T fl_status_text")
  message(SEND_ERROR "the library gives out: ${given}")
endif()
file(WRITE ${out}/face.c [[
#include <fairlead/fairlead.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
int main(int argc, char **argv)
{
	const char *paths[] = { argv[2] };
	char *text;
	if (argc != 3 || fl_judge_captures(paths, 1, argv[1], NULL, "text", &text) != FL_OK)
		return 1;
	const int found = strstr(text, "ARCH RADAR IS MISSING") != NULL;
	free(text);
	return !(found && fl_judge_captures(paths, 1, argv[1], NULL, "poem", &text) ==
		 FL_UNSUPPORTED && !text);
}
]])
step(cc -I ${out}/root/include ${out}/face.c -L ${out}/root/lib -lfairlead -o ${out}/face)
set(boat ${TOP}/captures/radar-absent)
step(${CMAKE_COMMAND} -E env LD_LIBRARY_PATH=${out}/root/lib ${out}/face
  ${boat}/plan.ini ${boat}/frames.pcapng)
file(REMOVE_RECURSE ${out})
