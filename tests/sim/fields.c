/* fields.c -- the fields of one line of a scenario. */
#include "fields.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

void sim_refuse(struct sim_reader *r, const char *form, ...)
{
	if (r->refused)
		return;
	r->refused = true;
	const int n = snprintf(r->why, r->why_size, "line %d: ", r->line);
	va_list list;
	va_start(list, form);
	if (n >= 0 && (size_t)n < r->why_size)
		vsnprintf(r->why + n, r->why_size - (size_t)n, form, list);
	va_end(list);
}

char *sim_trim(char *text)
{
	text += strspn(text, " \t\r");
	size_t n = strlen(text);
	while (n && strchr(" \t\r", text[n - 1]))
		text[--n] = '\0';
	return text;
}

/* What stands behind `key` in the next field that opens with it, or NULL. */
char *sim_value(struct sim_reader *r, const char *key)
{
	const size_t n = strlen(key);
	for (size_t i = 0; i < r->n; i++) {
		char *field = r->field[i];
		if (!field || strncmp(field, key, n) != 0 ||
		    (field[n] != ' ' && field[n] != '\0'))
			continue;
		r->field[i] = NULL;
		return sim_trim(field + n);
	}
	return NULL;
}

/* The next field, whatever it is. */
char *sim_next_field(struct sim_reader *r, const char *what)
{
	for (size_t i = 0; i < r->n; i++) {
		char *field = r->field[i];
		r->field[i] = NULL;
		if (field)
			return field;
	}
	sim_refuse(r, "%s is missing", what);
	return NULL;
}

void sim_copy(struct sim_reader *r, char out[static SIM_NAME], const char *text)
{
	if (!text || strlen(text) >= SIM_NAME)
		sim_refuse(r, "a name is missing or too long");
	else
		strcpy(out, text);
}

double sim_as_number(struct sim_reader *r, const char *text)
{
	char *end;
	const double number = strtod(text, &end);
	if (end == text || *sim_trim(end))
		sim_refuse(r, "'%s' is no number", text);
	return number;
}

double sim_number(struct sim_reader *r, const char *key, double otherwise)
{
	const char *text = sim_value(r, key);
	return text ? sim_as_number(r, text) : otherwise;
}

sim_time sim_time_of(struct sim_reader *r, const char *key, sim_time otherwise)
{
	const char *text = sim_value(r, key);
	return text ? sim_seconds(sim_as_number(r, text)) : otherwise;
}

void sim_read_address(struct sim_reader *r, const char *text, uint8_t out[4])
{
	unsigned a, b, c, d;
	char more;
	if (sscanf(text, "%u.%u.%u.%u%c", &a, &b, &c, &d, &more) != 4 ||
	    a > 255 || b > 255 || c > 255 || d > 255) {
		sim_refuse(r, "'%s' is no IPv4 address", text);
		return;
	}
	const uint8_t octets[] = { (uint8_t)a, (uint8_t)b, (uint8_t)c,
				   (uint8_t)d };
	memcpy(out, octets, 4);
}

void sim_read_mac(struct sim_reader *r, const char *text, uint8_t out[6])
{
	unsigned x[6];
	char more;
	if (sscanf(text, "%2x:%2x:%2x:%2x:%2x:%2x%c", &x[0], &x[1], &x[2],
		   &x[3], &x[4], &x[5], &more) != 6)
		sim_refuse(r, "'%s' is no MAC address", text);
	else
		for (int i = 0; i < 6; i++)
			out[i] = (uint8_t)x[i];
}

int sim_find_node(const struct sim_boat *boat, const char *name)
{
	for (size_t i = 0; i < boat->node_count; i++) {
		if (strcmp(boat->nodes[i].name, name) == 0)
			return (int)i;
	}
	return SIM_NONE;
}

int sim_find_run(const struct sim_boat *boat, const char *label)
{
	for (size_t i = 0; i < boat->run_count; i++) {
		if (strcmp(boat->runs[i].label, label) == 0)
			return (int)i;
	}
	return SIM_NONE;
}

int sim_find_feed(const struct sim_boat *boat, const char *name)
{
	for (size_t i = 0; i < boat->feed_count; i++) {
		if (strcmp(boat->feeds[i].name, name) == 0)
			return (int)i;
	}
	return SIM_NONE;
}

/* "arch radar", or "lower switch 3": a name, and a port behind it. */
struct sim_place sim_place(struct sim_reader *r, const char *text)
{
	struct sim_place found = { SIM_NONE, 0 };
	char name[SIM_NAME] = "";
	if (!text)
		return found;
	sim_copy(r, name, text);
	found.node = sim_find_node(r->boat, name);
	char *space = strrchr(name, ' ');
	if (found.node == SIM_NONE && space) {
		found.port = (int)sim_as_number(r, space + 1);
		*space = '\0';
		found.node = sim_find_node(r->boat, name);
	}
	if (found.node == SIM_NONE)
		sim_refuse(r, "'%s' is not there", text);
	else if (found.port > r->boat->nodes[found.node].ports)
		sim_refuse(r, "'%s' has no such port", text);
	return found;
}

/* "3 frames" or "40 ms". */
void sim_read_burst(struct sim_reader *r, double *frames, double *ms)
{
	const char *text = sim_value(r, "burst");
	char unit[8] = "";
	double length;
	if (!text)
		return;
	if (sscanf(text, "%lf %7s", &length, unit) != 2 || length <= 0)
		sim_refuse(r, "a burst is so many frames or ms");
	else if (strcmp(unit, "ms") == 0)
		*ms = length;
	else
		*frames = length;
}
