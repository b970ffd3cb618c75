#include "cli/jot_acts.h"

#include "base/text.h"
#include "diagnose/supply.h"
#include "plan/named.h"

#include <string.h>

enum { WORDS = 64 };

struct call {
	const struct fl_plan *plan;
	struct fl_region *region;
	const char *words[WORDS];    /* cleaned, the act left out            */
	size_t n;
	const char *chemistry;
	struct fl_jotted *out;
};

struct act {
	enum fl_hand id;
	const char *words;           /* what follows its name                */
	bool (*read)(const struct act *, struct call *);
	unsigned first, second;      /* enum fl_named_kind of its names      */
	const char *choices;         /* its last word is one of these        */
};

static bool wrong(struct call *c, const char *text)
{
	c->out->wrong = text;
	return false;
}

/* The words from `from` up to `to` as one text. */
static const char *joined(struct call *c, size_t from, size_t to)
{
	const char *text = "";
	for (size_t i = from; i < to; i++)
		text = fl_region_format(c->region, "%s%s%s", text, i > from ? " " : "",
					c->words[i]);
	return text;
}

static bool is_choice(const char *choices, const char *word)
{
	const size_t n = strlen(word);
	for (const char *at = choices; (at = strstr(at, word)); at += n)
		if (n && (at == choices || at[-1] == '|') && (!at[n] || at[n] == '|'))
			return true;
	return false;
}

static bool take_choice(const struct act *act, struct call *c, const char **choice)
{
	*choice = c->n ? c->words[c->n - 1] : "";
	if (strchr(*choice, '|') || !is_choice(act->choices, *choice))
		return wrong(c, fl_region_format(c->region, "it ends in one of %s",
						 act->choices));
	c->n--;
	return true;
}

/* One name, as the plan has it. */
static bool take_name(struct call *c, unsigned kinds, const char *text, const char **name)
{
	struct fl_named found;
	*name = text;
	if (!text[0])
		return wrong(c, "its name is missing");
	if (!c->plan)
		return true;
	if (fl_plan_named(c->plan, text, kinds, c->region, &found)) {
		*name = found.name;
		return true;
	}
	return wrong(c, fl_region_format(c->region, "the plan has no '%s' here; %s", text,
				fl_plan_instead(c->plan, text, kinds, c->region)));
}

/* Two names: cut where both halves are known. */
static bool take_two(const struct act *act, struct call *c, const char **second)
{
	struct fl_named found;
	if (c->n < 2)
		return wrong(c, "it takes two names");
	for (size_t cut = 1; c->plan && cut < c->n; cut++)
		if (fl_plan_named(c->plan, joined(c, 0, cut), act->first, c->region, &found) &&
		    fl_plan_named(c->plan, joined(c, cut, c->n), act->second, c->region,
				  &found)) {
			(void)take_name(c, act->first, joined(c, 0, cut), &c->out->name);
			return take_name(c, act->second, joined(c, cut, c->n), second);
		}
	if (c->n != 2)
		return wrong(c, "these are not two names; put each between quotes");
	return take_name(c, act->first, c->words[0], &c->out->name) &&
	       take_name(c, act->second, c->words[1], second);
}

/* ---- one function a form ---- */

static bool read_words(const struct act *act, struct call *c)
{
	(void)act;
	c->out->text = joined(c, 0, c->n);
	return c->n || wrong(c, "a text is missing");
}

static bool read_choice(const struct act *act, struct call *c)
{
	if (!take_choice(act, c, &c->out->text))
		return false;
	return c->n == 0 || wrong(c, "it takes that word alone");
}

static bool read_name(const struct act *act, struct call *c)
{
	return take_name(c, act->first, joined(c, 0, c->n), &c->out->name);
}

static bool read_name_choice(const struct act *act, struct call *c)
{
	return take_choice(act, c, &c->out->text) && read_name(act, c);
}

static bool read_name_word(const struct act *act, struct call *c)
{
	if (c->n < 2)
		return wrong(c, "a name and a version are wanted");
	c->out->text = c->words[--c->n];
	return read_name(act, c);
}

static bool read_two(const struct act *act, struct call *c)
{
	return take_two(act, c, &c->out->text);
}

static bool read_two_choice(const struct act *act, struct call *c)
{
	const char *choice, *second;
	if (!take_choice(act, c, &choice) || !take_two(act, c, &second))
		return false;
	c->out->text = fl_region_format(c->region, "%s %s", choice, second);
	return true;
}

/* The last number is the volts: "breaker 12 12.4 load". */
static bool read_meter(const struct act *act, struct call *c)
{
	struct fl_reading r = { 0 };
	char text[FL_READING_TEXT];
	size_t at = c->n;
	while (at > 0 && !fl_reading_volts(c->words[at - 1], &r.volts))
		if (!fl_reading_word(&r, c->words[--at]))
			return wrong(c, fl_region_format(c->region,
				"'%s' is no reading; say volts, then load or idle, then "
				"rest, charging or engine", c->words[at]));
	if (at == 0)
		return wrong(c, "the volts are missing");
	if (c->chemistry && strcmp(c->chemistry, "lead") != 0 &&
	    strcmp(c->chemistry, "lithium") != 0)
		return wrong(c, "--kind is lead or lithium");
	if (c->chemistry)
		(void)fl_reading_word(&r, c->chemistry);
	const char *where = joined(c, 0, at - 1);
	c->out->text = fl_region_format(c->region, "%s", fl_reading_text(&r, text));
	c->out->name = where;
	return strcmp(where, "battery") == 0 ||
	       take_name(c, act->first, where, &c->out->name);
}

enum {
	THINGS = FL_NAMED_DEVICE | FL_NAMED_SWITCH,
	LIT = THINGS | FL_NAMED_PORT,
	FED = THINGS | FL_NAMED_FEED,
	SEATED = FL_NAMED_RUN | FL_NAMED_JOINT,
};

static const struct act acts[] = {
	{ FL_HAND_MARK, "TEXT...", read_words, 0, 0, NULL },
	{ FL_HAND_WORK, "on|off", read_choice, 0, 0, "on|off" },
	{ FL_HAND_METER, "battery|DEVICE|FEED VOLTS [load|idle] [rest|charging|engine]",
	  read_meter, FED, 0, NULL },
	{ FL_HAND_LIGHT, "PORT|DEVICE lit|fault|dark|none", read_name_choice, LIT, 0,
	  "lit|fault|dark|none" },
	{ FL_HAND_SHOWS, "DISPLAY DEVICE yes|no", read_two_choice, FL_NAMED_DEVICE,
	  FL_NAMED_DEVICE, "yes|no" },
	{ FL_HAND_SWAP, "RUN", read_name, FL_NAMED_RUN, 0, NULL },
	{ FL_HAND_SEAT, "RUN|JOINT", read_name, SEATED, 0, NULL },
	{ FL_HAND_MOVE, "DEVICE PORT", read_two, FL_NAMED_DEVICE, FL_NAMED_PORT, NULL },
	{ FL_HAND_EXCHANGE, "PORT PORT", read_two, FL_NAMED_PORT, FL_NAMED_PORT, NULL },
	{ FL_HAND_SOFTWARE, "DEVICE VERSION", read_name_word, FL_NAMED_DEVICE, 0, NULL },
};
enum { ACTS = sizeof acts / sizeof acts[0] };

const char *fl_jot_form(size_t i, struct fl_region *region)
{
	return i < ACTS ? fl_region_format(region, "%s %s", fl_hand_name(acts[i].id),
					   acts[i].words) : NULL;
}

static const char *cleaned(struct fl_region *region, const char *text)
{
	char clean[FL_TEXT_MAX + 1];
	(void)fl_text_clean((struct fl_slice){ (const uint8_t *)text, strlen(text) }, clean);
	return fl_region_format(region, "%s", clean);
}

/* What a journal holds of a text. */
static bool fits(struct call *c)
{
	c->out->text = cleaned(c->region, c->out->text);
	c->out->name = cleaned(c->region, c->out->name);
	return !fl_region_full(c->region) || wrong(c, "it is too long");
}

bool fl_jot_read(const struct fl_plan *plan, int argc, char **argv,
		 const char *chemistry, struct fl_region *region, struct fl_jotted *out)
{
	struct call c = { .plan = plan, .region = region, .chemistry = chemistry,
			  .out = out };
	*out = (struct fl_jotted){ .name = "", .text = "" };
	for (size_t i = 0; i < ACTS; i++) {
		if (strcmp(argv[0], fl_hand_name(acts[i].id)) != 0)
			continue;
		out->act = acts[i].id;
		if (argc - 1 > WORDS)
			return wrong(&c, "these are too many words; put them between quotes");
		for (int k = 1; k < argc; k++)
			c.words[c.n++] = cleaned(region, argv[k]);
		if (acts[i].read(&acts[i], &c))
			return fits(&c);
		out->wrong = fl_region_format(region, "%s %s: %s", argv[0], acts[i].words,
					      out->wrong);
		return false;
	}
	return false;
}
