#include "event/fact.h"

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

struct fl_fact *fl_say_port(struct fl_facts *facts)
{
	struct fl_fact *f = fl_say(facts, FL_FACT_PORT);
	f->port = &facts->ports[facts->port_n];
	if (facts->port_n < FL_FACTS_PORTS)
		facts->port_n++;
	else
		facts->spilled = true;
	*f->port = (struct fl_port){ .there = true };
	return f;
}

struct fl_slice fl_keep(struct fl_facts *facts, struct fl_slice text)
{
	if (text.n > FL_KEPT_MAX - facts->kept_n) {
		facts->spilled = true;
		return (struct fl_slice){ NULL, 0 };
	}
	uint8_t *at = facts->kept + facts->kept_n;
	if (text.n)
		memcpy(at, text.at, text.n);
	facts->kept_n += text.n;
	return (struct fl_slice){ at, text.n };
}

struct fl_slice fl_static(const char *text)
{
	return (struct fl_slice){ (const uint8_t *)text, strlen(text) };
}

static const char *const names[] = {
#define FACT(name, means) [FL_FACT_##name] = #name,
#include "event/facts.def"
#undef FACT
};

const char *fl_fact_name(enum fl_fact_kind kind)
{
	return names[kind];
}

int fl_fact_named(const char *name)
{
	for (size_t i = 0; name && i < sizeof names / sizeof names[0]; i++)
		if (strcmp(names[i], name) == 0)
			return (int)i;
	return -1;
}
