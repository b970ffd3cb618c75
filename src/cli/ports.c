/* ports.c -- the laptop's ports, fit or not to listen at, and why.
 *
 * Says    a sentence a port, the fit ones first; then what the laptop's own
 *         system would send on it and the one command that quiets it
 * Ceiling FL_PORTS ports
 */
#include "cli/cli.h"
#include "cli/fit_words.h"

#include <inttypes.h>
#include <jansson.h>
#include <stdlib.h>
#include <string.h>

enum { JSON, OPTIONS };
enum { ROOM = 1 << 20 };

const struct fl_option fl_ports_options[] = {
	[JSON]    = { "--json", NULL, "one object for programs in place of text" },
	[OPTIONS] = { NULL, NULL, NULL },
};

static const char *const verdicts[FL_VERDICTS] = {
	[FL_UNFIT] = "no", [FL_NOT_YET] = "not yet", [FL_LIMITED] = "limited",
	[FL_FIT] = "yes",
};
static const char *const duplexes[] = { NULL, "half", "full" };

struct list {
	struct fl_port_facts *at;
	size_t n;
	size_t fit, usable;          /* ... and those that could be made fit */
};

/* All ports of this host. False: the kernel does not tell, which was said. */
static bool take_list(struct list *list)
{
	struct fl_error error = { 0 };
	list->n = list->fit = list->usable = 0;
	list->at = calloc(FL_PORTS, sizeof *list->at);
	if (!list->at) {
		fputs("fairlead: no memory for the ports\n", stderr);
		return false;
	}
	list->n = fl_ports_list(list->at, FL_PORTS, "/sys", "/proc/sys", &error);
	if (error.status != FL_OK)
		fl_say_error(&error);
	for (size_t i = 0; i < list->n; i++) {
		const enum fl_verdict verdict = fl_fit(&list->at[i]).verdict;
		list->fit += verdict >= FL_LIMITED;
		list->usable += verdict > FL_UNFIT;
	}
	return list->n > 0;
}

static void add_fit(const struct list *list, struct fl_text *out)
{
	const char *between = "";
	for (size_t i = 0; i < list->n; i++)
		if (fl_fit(&list->at[i]).verdict >= FL_LIMITED) {
			fl_text_add(out, "%s%s", between, list->at[i].name);
			between = ", ";
		}
}

static void put_head(struct fl_layout *l, const struct list *list)
{
	if (list->fit == 0)
		fl_text_add(&l->line, "NO PORT IS FIT to listen at now.");
	else if (list->fit == 1)
		fl_text_add(&l->line, "Listen at ");
	else
		fl_text_add(&l->line, "%zu ports are fit; take the one in the boat's network: ",
			    list->fit);
	add_fit(list, &l->line);
	fl_text_add(&l->line, "%s", list->fit ? "." : "");
	fl_layout_flow(l, 0);
	fl_text_add(l->out, "\n");
}

/* "USB adapter, driver veth, link at 100 Mbit/s, half duplex". */
static void add_kind(const struct fl_port_facts *f, struct fl_text *out)
{
	static const struct { const char *bus, *words; } kinds[] = {
		{ "usb", "USB adapter, " }, { "pci", "built in, " },
	};
	for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
		if (strcmp(kinds[i].bus, f->bus) == 0)
			fl_text_add(out, "%s", kinds[i].words);
	if (f->driver[0])
		fl_text_add(out, "driver %s, ", f->driver);
	if (f->mbit)
		fl_text_add(out, "link at %" PRIu32 " Mbit/s", f->mbit);
	else
		fl_text_add(out, "link, speed not told");
	if (duplexes[f->duplex])
		fl_text_add(out, ", %s duplex", duplexes[f->duplex]);
}

static void put_sentence(struct fl_layout *l, const struct fl_port_facts *f,
			 const struct fl_fit *fit)
{
	fl_text_add(&l->line, "%s is ", f->name);
	if (fit->verdict >= FL_LIMITED) {
		fl_text_add(&l->line, "fit%s: ", fit->n ? ", with a limit" : "");
		add_kind(f, &l->line);
	} else {
		fl_text_add(&l->line, "not fit%s: %s", fit->verdict == FL_NOT_YET ? " yet" : "",
			    fit->reasons[0]->words);
	}
	const bool closed = l->line.at[l->line.n - 1] == '?';
	fl_text_add(&l->line, "%s", closed ? "" : ".");
	fl_layout_flow(l, 0);
	for (size_t i = 0; fit->verdict == FL_LIMITED && i < fit->n; i++) {
		fl_text_add(&l->line, "%s", fit->reasons[i]->words);
		fl_layout_flow(l, FL_FIT_INDENT);
	}
}

static void put_port(struct fl_layout *l, const struct fl_port_facts *f)
{
	const struct fl_fit fit = fl_fit(f);
	put_sentence(l, f, &fit);
	if (fit.verdict > FL_UNFIT)
		fl_fit_put_sends(l, f);
	fl_fit_put_steps(l, f);
}

static bool put_text(const struct list *list, struct fl_text *out)
{
	struct fl_layout l;
	if (!fl_layout_init(&l, out))
		return false;
	put_head(&l, list);
	for (int v = FL_FIT; v >= FL_UNFIT; v--)
		for (size_t i = 0; i < list->n; i++)
			if ((int)fl_fit(&list->at[i]).verdict == v)
				put_port(&l, &list->at[i]);
	if (list->usable) {
		fl_text_add(out, "\n");
		fl_text_add(&l.line, "%s", "Whether something here asks for an address on a port "
			    "(DHCP), fairlead cannot see: have your network manager leave it "
			    "alone.");
		fl_layout_flow(&l, 0);
	}
	fl_layout_close(&l);
	return !out->full;
}

static json_t *word(const char *text)
{
	char clean[FL_TEXT_MAX + 1];
	if (!text || !text[0])
		return json_null();
	fl_text_clean((struct fl_slice){ (const uint8_t *)text, strlen(text) }, clean);
	return json_string(clean);
}

/* The steps as one line, or null. */
static json_t *line_of(const struct fl_steps *s)
{
	char line[FL_STEPS * (FL_STEP + 2) + 16];
	size_t n = 0;
	for (size_t i = 0; i < s->n; i++)
		n += (size_t)snprintf(line + n, sizeof line - n, "%s%s",
				      i ? "; " : "sudo sh -c '", s->at[i]);
	if (n)
		(void)snprintf(line + n, sizeof line - n, "'");
	return n ? json_string(line) : json_null();
}

static json_t *one_port(const struct fl_port_facts *f)
{
	const struct fl_fit fit = fl_fit(f);
	const struct fl_steps steps = fl_fit_steps(f);
	const char *sends[FL_SENDS];
	const size_t n = fl_fit_sends(f, sends);
	char text[FL_IP_TEXT], mac[FL_MAC_TEXT];
	json_t *because = json_array(), *says = json_array(), *addresses = json_array();
	for (size_t i = 0; i < fit.n; i++)
		json_array_append_new(because, json_string(fit.reasons[i]->key));
	for (size_t i = 0; i < n; i++)
		json_array_append_new(says, json_string(sends[i]));
	for (size_t i = 0; i < f->address_count; i++)
		json_array_append_new(addresses, json_string(fl_ip_text(f->addresses[i], text)));
	return json_pack("{so ss so so so so sb sb so so so sb so sI so so}",
		"port", word(f->name), "fit", verdicts[fit.verdict], "because", because,
		"mac", f->ethernet ? json_string(fl_mac_text(f->mac, mac)) : json_null(),
		"driver", word(f->driver), "bus", word(f->bus),
		"enabled", f->enabled, "link", f->link,
		"mbit", f->link && f->mbit ? json_integer((json_int_t)f->mbit) : json_null(),
		"duplex", word(duplexes[f->duplex]), "addresses", addresses,
		"counts_errors", f->counts_errors, "system_sends", says,
		"sent", (json_int_t)f->sent, "command", line_of(&steps),
		"saves_power", json_boolean(f->saves_power));
}

static bool put_json(const struct list *list, struct fl_text *out)
{
	json_t *all = json_array();
	for (size_t i = 0; i < list->n; i++)
		json_array_append_new(all, one_port(&list->at[i]));
	json_t *root = json_pack("{si si so}", "fairlead", 1, "minor", 0, "ports", all);
	char *text = root ? json_dumps(root, JSON_INDENT(2)) : NULL;
	if (text)
		fl_text_add(out, "%s\n", text);
	json_decref(root);
	free(text);
	return text && !out->full;
}

enum fl_exit fl_ports_command(const struct fl_command *command, int argc, char **argv)
{
	const char *values[OPTIONS] = { NULL };
	enum fl_exit status = FL_EXIT_USAGE;
	struct fl_text out = { 0 };
	struct list list;
	if (!fl_options(command, &argc, argv, values, &status))
		return status;
	if (argc) {
		fputs("fairlead ports: tells of all ports; give it no names\n", stderr);
		return FL_EXIT_USAGE;
	}
	status = FL_EXIT_SILENT;
	if (take_list(&list) && fl_text_init(&out, ROOM) &&
	    (values[JSON] ? put_json(&list, &out) : put_text(&list, &out))) {
		const bool put = fl_put(out.at, out.n);
		status = put && list.fit ? FL_EXIT_WELL : FL_EXIT_SILENT;
	}
	fl_text_close(&out);
	free(list.at);
	return status;
}

bool fl_fit_one(struct fl_port_facts *fit)
{
	struct list list;
	struct fl_text names, clean;
	bool one = false;
	if (take_list(&list) && list.fit != 1 && fl_text_init(&names, ROOM)) {
		if (fl_text_init(&clean, ROOM)) {
			add_fit(&list, &names);
			fl_clean_add(&clean, names.at);
			fprintf(stderr, list.fit ? "fairlead: several ports are fit; name one with "
				"--port: %s\n" : "fairlead: no port is fit to listen at; "
				"fairlead ports says why%s\n", clean.at);
			fl_text_close(&clean);
		}
		fl_text_close(&names);
	}
	for (size_t i = 0; list.fit == 1 && i < list.n; i++)
		if (fl_fit(&list.at[i]).verdict >= FL_LIMITED) {
			*fit = list.at[i];
			one = true;
		}
	free(list.at);
	return one;
}
