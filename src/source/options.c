#include "source/options.h"
#include "source/number.h"

enum { END = 0 };

static bool right_length(const struct fl_options *o, uint16_t code, size_t n)
{
	return code >= o->codes || !o->lengths[code] || o->lengths[code] == n;
}

bool fl_options_next(struct fl_options *o, struct fl_option *option)
{
	while (fl_left(&o->rest)) {
		option->code = fl_half(&o->rest, o->big);
		const size_t n = fl_half(&o->rest, o->big);
		if (option->code == END && fl_ok(&o->rest))
			return false;
		option->value = fl_take(&o->rest, n);
		fl_skip(&o->rest, -n & 3);
		if (fl_ok(&o->rest) && right_length(o, option->code, n))
			return true;
		o->bad++;
		if (!fl_ok(&o->rest))
			return false;
	}
	return false;
}

uint64_t fl_option_number(const struct fl_options *o,
			  const struct fl_option *option)
{
	struct fl_cursor c = fl_cursor(option->value.at, option->value.n);
	return o->big ? fl_be(&c, option->value.n) : fl_le(&c, option->value.n);
}

uint64_t fl_option_stamp(const struct fl_options *o,
			 const struct fl_option *option)
{
	struct fl_cursor c = fl_cursor(option->value.at, option->value.n);
	return fl_stamp(&c, o->big);
}

char *fl_option_text(const struct fl_option *option,
		     char out[static FL_TEXT_MAX + 1])
{
	struct fl_slice s = option->value;
	const uint8_t *zero = s.n ? memchr(s.at, 0, s.n) : NULL;
	if (zero)
		s.n = (size_t)(zero - s.at);
	(void)fl_text_clean(s, out);
	return out;
}
