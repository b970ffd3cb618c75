# A decoder is one file, one row and one test: add a toy by exactly these to a
# copy of the tree, build it and run its test and its fuzz replay.
cmake_minimum_required(VERSION 3.20)
set(toy ${BUILD}/toy)
file(REMOVE_RECURSE ${toy})
file(COPY ${TOP}/src ${TOP}/include ${TOP}/man DESTINATION ${toy})
file(COPY ${TOP}/CMakeLists.txt DESTINATION ${toy})
file(COPY ${TOP}/tests DESTINATION ${toy} PATTERN golden EXCLUDE PATTERN sim EXCLUDE
  PATTERN many_boats.c EXCLUDE PATTERN test_healthy.c EXCLUDE)
file(READ ${toy}/tests/CMakeLists.txt lists)
string(REGEX REPLACE "\n# Boats unseen in tuning.*" "\n" lists "${lists}")
file(WRITE ${toy}/tests/CMakeLists.txt "${lists}")

file(APPEND ${toy}/src/decode/decoders.def
  "DECODER(toy, ETHERTYPE, 0x88b5, 0x88b5, \"IEEE Std 802 section 9.2.3\",\n\t\"a toy\")\n")
file(WRITE ${toy}/src/decode/toy.c [[
/* toy.c -- a frame of the local experimental ethertype that holds a name. */
#include "decode/decode.h"

enum fl_status fl_decode_toy(const struct fl_packet *packet, struct fl_cursor *c,
			     struct fl_facts *out, enum fl_manner *manner)
{
	(void)packet, (void)manner;
	const struct fl_slice name = fl_take(c, fl_u8(c));
	if (!fl_ok(c))
		return c->status;
	struct fl_fact *f = fl_say(out, FL_FACT_IDENTITY);
	f->aspect = FL_ID_NAME;
	f->text = name;
	return FL_OK;
}
]])
file(WRITE ${toy}/tests/decode/test_toy.c [[
#include "test.h"

#include "decode/decode.h"

static void a_toy_tells_its_name(void **state)
{
	(void)state;
	struct fl_facts f = { 0 };
	enum fl_manner manner;
	struct fl_packet p = { .layer = FL_LAYER_LINK, .ethertype = 0x88b5 };
	struct fl_cursor c = fl_cursor("\3toy", 4);
	const struct fl_decoder *d = fl_decoder_for(&p);
	assert_non_null(d);
	assert_int_equal(fl_decode(d, &p, &c, &f, &manner), FL_OK);
	assert_int_equal(f.n, 1);
	assert_memory_equal(f.at[0].text.at, "toy", 3);
}

int main(void)
{
	const struct CMUnitTest tests[] = { cmocka_unit_test(a_toy_tells_its_name) };
	return FL_RUN(tests);
}
]])
foreach(step
    "${CMAKE_COMMAND};-B;${toy}/build;${toy}"
    "${CMAKE_COMMAND};--build;${toy}/build;-j;2;--target;test_decode_toy;fuzz_decode_toy"
    "${toy}/build/tests/test_decode_toy" "${toy}/build/tests/fuzz_decode_toy")
  execute_process(COMMAND ${step} RESULT_VARIABLE code OUTPUT_VARIABLE said ERROR_VARIABLE said)
  if(NOT code EQUAL 0)
    message(FATAL_ERROR "${step}: ${code}\n${said}")
  endif()
endforeach()
file(REMOVE_RECURSE ${toy})
