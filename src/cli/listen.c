/* listen.c -- the answer out of ports of this laptop, now. */
#include "cli/answer.h"
#include "cli/fit_words.h"
#include "cli/visit_heard.h"
#include "cli/watch.h"
#include "visit/visit.h"

#include <stdlib.h>
#include <string.h>

enum { PORT, PLAN, MISSING, AT, FOR, VISIT, ASK, WIGGLE, TICK, CONTRAST, LINES,
       JSON, OPTIONS };

const struct fl_option fl_listen_options[] = {
	[PORT]     = { "--port", "PORT,...", "listen here; else at the one port that is fit" },
	[PLAN]     = { "--plan", "FILE", "hold what is heard against this plan" },
	[MISSING]  = { "--missing", "NAME", "no plan: this one device is missing" },
	[AT]       = { "--at", "PLACE", "where the laptop is joined: \"lower switch 5\"" },
	[FOR]      = { "--for", "TIME", "listen so long (90s, 15m, 8h), not just until sure" },
	[VISIT]    = { "--visit", "DIR", "keep what is heard in this folder, or go on with it" },
	[ASK]      = { "--ask", NULL, "send one ARP request to each address of the plan" },
	[WIGGLE]   = { "--wiggle", "NAME", "watch one device, or \"link\", with both hands busy" },
	[TICK]     = { "--tick", NULL, "with --wiggle: a bell each second while it is heard" },
	[CONTRAST] = { "--contrast", "high", "for sunlight and red light: no faint text" },
	[LINES]    = { "--lines", NULL, "a line an event, even on a terminal" },
	[JSON]     = { "--json", NULL, "one object for programs in place of text" },
	[OPTIONS]  = { NULL, NULL, NULL },
};

static bool refuse(const char *what)
{
	fprintf(stderr, "fairlead listen: %s\n", what);
	return false;
}

/* "eth1,eth2": cut in place. */
static bool take_ports(char *list, struct fl_watch_order *order)
{
	for (char *rest = list, *name; (name = strtok_r(rest, ",", &rest)) != NULL;) {
		if (order->port_count == FL_LIVE_PORTS)
			return refuse("--port: at most 8 ports at once");
		for (size_t i = 0; i < order->port_count; i++)
			if (strcmp(order->ports[i], name) == 0)
				return refuse("--port: a port is named twice");
		order->ports[order->port_count++] = name;
	}
	return order->port_count ? true : refuse("--port: name a port, as fairlead ports does");
}

static bool take_call(const char **values, int argc, struct fl_watch_order *order)
{
	if (argc)
		return refuse("captures are read by fairlead read; this listens at ports");
	if (values[FOR] && !fl_length_of(values[FOR], &order->length))
		return refuse("--for: a length of time, as 90s, 15m or 8h");
	if (values[CONTRAST] && strcmp(values[CONTRAST], "high") != 0)
		return refuse("--contrast: only \"high\" can be asked for");
	if (values[TICK] && !values[WIGGLE])
		return refuse("--tick: only with --wiggle NAME");
	if (values[JSON] && values[LINES])
		return refuse("--json and --lines: give one of them");
	order->visit = values[VISIT];
	order->wiggle = values[WIGGLE];
	order->ask = values[ASK];
	order->tick = values[TICK];
	order->lines = !values[JSON];
	order->screen = !values[JSON] && !values[LINES];
	order->contrast = values[CONTRAST] ? FL_CONTRAST_HIGH : FL_CONTRAST_NORMAL;
	return true;
}

/* What the visit holds already is heard first, and its plan is the plan where
 * no other is named. */
static bool go_on(struct fl_judging *j, const char **values, struct fl_plan_wanted *wanted,
		  char plan[FL_VISIT_PATH])
{
	if (values[VISIT] && !wanted->plan && !wanted->missing &&
	    fl_visit_has(values[VISIT], FL_VISIT_PLAN)) {
		if (!fl_visit_path(values[VISIT], FL_VISIT_PLAN, plan))
			return refuse("--visit: the name of the folder is too long");
		wanted->plan = plan;
	}
	if (!fl_take_plan(j, wanted))
		return false;
	if (!values[VISIT] || fl_hear_visit(j, values[VISIT]))
		return true;
	fl_say_warnings(j);
	return false;
}

static enum fl_exit hear(struct fl_judging *j, const char **values, int argc)
{
	struct fl_watch_order order = { 0 };
	char *text = NULL;
	struct fl_plan_wanted wanted = { "listen", values[PLAN], values[MISSING], values[AT],
					 &text, &order.plan_octets };
	char plan[FL_VISIT_PATH];
	char *ports = values[PORT] ? strdup(values[PORT]) : NULL;
	struct fl_port_facts fit;
	enum fl_exit status = FL_EXIT_USAGE;
	if (take_call(values, argc, &order) && go_on(j, values, &wanted, plan) &&
	    (!values[PORT] || (ports && take_ports(ports, &order)))) {
		status = FL_EXIT_WELL;
		order.plan = text;
		if (order.port_count == 0) {
			status = fl_fit_one(&fit) ? FL_EXIT_WELL : FL_EXIT_SILENT;
			order.ports[order.port_count++] = fit.name;
		}
		for (size_t i = 0; status == FL_EXIT_WELL && i < order.port_count; i++)
			fl_fit_warn(order.ports[i]);
		if (status == FL_EXIT_WELL)
			status = fl_watch(j, &order);
		if (status == FL_EXIT_WELL)
			status = fl_put_answer(j, "listen", values[JSON] ? "json" : "text");
	}
	free(ports);
	free(text);
	return status;
}

enum fl_exit fl_listen_command(const struct fl_command *command, int argc, char **argv)
{
	const char *values[OPTIONS] = { NULL };
	enum fl_exit status = FL_EXIT_USAGE;
	if (!fl_options(command, &argc, argv, values, &status))
		return status;
	struct fl_judging *j = fl_judge_new();
	if (!j) {
		fputs("fairlead listen: no memory\n", stderr);
		return FL_EXIT_SILENT;
	}
	status = hear(j, values, argc);
	fl_judge_free(j);
	return status;
}
