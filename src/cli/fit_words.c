#include "cli/fit_words.h"

#include "cli/cli.h"

#include <stdlib.h>
#include <string.h>

enum { COMMAND = 4, ROOM = 64 << 10 };

void fl_fit_put_sends(struct fl_layout *l, const struct fl_port_facts *facts)
{
	const char *sends[FL_SENDS];
	const size_t n = fl_fit_sends(facts, sends);
	if (n)
		fl_text_add(&l->line, "This laptop's own system sends on %s, once it is in "
			    "use: ", facts->name);
	for (size_t i = 0; i < n; i++)
		fl_text_add(&l->line, "%s%s", sends[i], i + 1 == n ? "." : "; ");
	fl_layout_flow(l, FL_FIT_INDENT);
}

/* One command of the shell; its lines are not folded, for they are copied. */
void fl_fit_put_steps(struct fl_layout *l, const struct fl_port_facts *facts)
{
	const struct fl_steps steps = fl_fit_steps(facts), *s = &steps;
	if (s->n == 0)
		return;
	fl_text_add(&l->line, "To %s%s%s%s%s:", s->up ? "bring it up" : "",
		    s->up ? (s->quiet ? " quietly" : "") : s->quiet ? "make it quiet" : "",
		    s->awake && (s->up || s->quiet) ? " and " : "",
		    s->awake ? "keep it awake" : "",
		    s->cuts ? " (this cuts off what uses its address)" : "");
	fl_layout_flow(l, FL_FIT_INDENT);
	for (size_t i = 0; i < s->n; i++)
		fl_text_add(l->out, "%*s%s%s%s\n", i ? COMMAND + 2 : COMMAND, "",
			    i ? "" : "sudo sh -c '", s->at[i], i + 1 == s->n ? "'" : "");
}

static void warn(const struct fl_port_facts *facts)
{
	struct fl_text out;
	struct fl_layout l;
	if (!fl_text_init(&out, ROOM))
		return;
	if (fl_layout_init(&l, &out)) {
		fl_fit_put_sends(&l, facts);
		fl_fit_put_steps(&l, facts);
		fl_layout_close(&l);
		fputs(out.at, stderr);
	}
	fl_text_close(&out);
}

void fl_fit_warn(const char *port)
{
	struct fl_error error = { 0 };
	struct fl_port_facts *all = calloc(FL_PORTS, sizeof *all);
	const size_t n = all ? fl_ports_list(all, FL_PORTS, "/sys", "/proc/sys", &error) : 0;
	for (size_t i = 0; i < n; i++)
		if (strcmp(all[i].name, port) == 0)
			warn(&all[i]);
	free(all);
}
