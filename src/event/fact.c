#include "event/fact.h"

#include <stdio.h>

struct fl_fact *fl_say(struct fl_facts *facts, enum fl_fact_kind kind)
{
	struct fl_fact *f = &facts->at[facts->n];
	if (facts->n < FL_FACTS_MAX)
		facts->n++;
	else
		facts->spilled = true;
	*f = (struct fl_fact){ .kind = kind };
	return f;
}

struct fl_slice fl_static(const char *text)
{
	return (struct fl_slice){ (const uint8_t *)text, strlen(text) };
}

char *fl_bridge_text(struct fl_slice id, char out[static FL_BRIDGE_TEXT])
{
	out[0] = '\0';
	if (id.n != 8)
		return out;
	struct fl_cursor c = fl_cursor(id.at, id.n);
	const unsigned priority = fl_u16(&c);
	char mac[FL_MAC_TEXT];
	snprintf(out, FL_BRIDGE_TEXT, "%u.%s", priority,
		 fl_mac_text(fl_mac(&c), mac));
	return out;
}

const char *fl_fact_name(enum fl_fact_kind kind)
{
	static const char *const names[] = {
#define FACT(name, means) [FL_FACT_##name] = #name,
#include "event/facts.def"
#undef FACT
	};
	return names[kind];
}
