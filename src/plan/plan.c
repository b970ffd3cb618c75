/* plan.c -- a plan read whole: the passes, and the plan cut to its size.
 *
 * The reading works in a region of its own; what is good is copied out, so
 * that the caller's region holds the plan, its texts and the faults alone.
 */
#include "plan/reader.h"

enum { WORK = 4 << 20 };   /* holds every array at its ceiling */

static const struct { const char *name; enum fl_section section; bool named; }
sections[] = {
	{ "segment", FL_SECTION_SEGMENT, false },
	{ "wiring",  FL_SECTION_WIRING, false },
	{ "device",  FL_SECTION_DEVICE, true },
	{ "switch",  FL_SECTION_SWITCH, true },
	{ "run",     FL_SECTION_RUN, true },
	{ "feed",    FL_SECTION_FEED, true },
};

enum { SECTIONS = sizeof sections / sizeof sections[0] };

/* The section that entries now belong to. */
struct open {
	enum fl_section section;
	int thing;
	bool bad;     /* told already; its entries are not read */
};

static const struct open bad_section = { FL_SECTION_NONE, 0, true };

static void section_fault(struct fl_reader *r, struct fl_span kind)
{
	const char *names[SECTIONS];
	for (size_t i = 0; i < SECTIONS; i++)
		names[i] = sections[i].name;
	fl_reader_fault(r, kind,
		FL_WORDS(r, "%s is no section", fl_reader_quote(r, kind)),
		fl_reader_mean(r, kind, names, SECTIONS,
			"the sections are [segment], [wiring], [device "
			"NAME], [switch NAME], [run NAME] and [feed NAME]"));
}

static struct open open_named(struct fl_reader *r, enum fl_section section,
			      struct fl_span name)
{
	const bool makes = section == FL_SECTION_SWITCH
		? r->pass == FL_PASS_SWITCHES : r->pass == FL_PASS_NAMES;
	const int thing = makes ? fl_reader_make(r, section, name)
				: fl_plan_find(r->plan, section, name);
	if (makes && thing != FL_NONE && section == FL_SECTION_DEVICE)
		r->declared[thing] = true;
	return (struct open){ section, thing, thing == FL_NONE };
}

static struct open open_section(struct fl_reader *r, const struct fl_line *line)
{
	size_t i = 0;
	while (i < SECTIONS && !fl_span_is(line->first, sections[i].name))
		i++;
	if (i == SECTIONS) {
		section_fault(r, line->first);
		return bad_section;
	}
	if (sections[i].named && line->second.n)
		return open_named(r, sections[i].section, line->second);
	if (!sections[i].named && !line->second.n)
		return (struct open){ sections[i].section, 0, false };
	fl_reader_fault(r, line->first,
		FL_WORDS(r,
			sections[i].named
				? "this [%s] has no name"
				: "[%s] stands for itself and takes no name",
			sections[i].name),
		FL_WORDS(r,
			sections[i].named
				? "write it as [%s NAME]"
				: "write it as [%s]", sections[i].name));
	return bad_section;
}

static void read_entry(struct fl_reader *r, struct open open,
		       const struct fl_line *line)
{
	if (open.bad)
		return;
	if (open.section == FL_SECTION_NONE)
		fl_reader_fault(r, line->first,
			"this stands in no section",
			"put [wiring] above lines of cables, or [device NAME] "
			"above what is said of a device");
	else if (open.section == FL_SECTION_WIRING)
		fl_reader_wiring(r, line->first, line->second);
	else
		fl_reader_key(r, open.section, open.thing, line->first,
			      line->second);
}

static void read_pass(struct fl_reader *r, const char *text, size_t n)
{
	struct fl_lines lines = fl_lines(text, n);
	struct fl_line line;
	struct open open = { FL_SECTION_NONE, 0, false };
	while (!r->faults->more && fl_lines_next(&lines, &line)) {
		switch (line.kind) {
		case FL_LINE_SECTION:
			open = open_section(r, &line);
			break;
		case FL_LINE_ENTRY:
			read_entry(r, open, &line);
			break;
		case FL_LINE_BAD_SECTION:
			open = bad_section;
			/* fall through */
		case FL_LINE_BAD_ENTRY:
			fl_reader_fault(r, line.first, line.text, line.remedy);
			break;
		}
	}
}

static bool has_room(struct fl_plan *plan, struct fl_region *work)
{
	plan->name = "";
	plan->laptop.run = plan->laptop.place.index = FL_NONE;
	plan->devices = fl_region_array(work, FL_PLAN_DEVICES,
					sizeof *plan->devices);
	plan->switches = fl_region_array(work, FL_PLAN_SWITCHES,
					 sizeof *plan->switches);
	plan->runs = fl_region_array(work, FL_PLAN_RUNS, sizeof *plan->runs);
	plan->feeds = fl_region_array(work, FL_PLAN_FEEDS, sizeof *plan->feeds);
	return !fl_region_full(work);
}

static void *copy(struct fl_region *region, const void *from, size_t n,
		  size_t size)
{
	void *to = fl_region_array(region, n ? n : 1, size);
	if (to && n)
		memcpy(to, from, n * size);
	return to;
}

/* The plan with its arrays as long as they need be; NULL: no room. */
static struct fl_plan *cut(const struct fl_plan *from, struct fl_region *region)
{
	struct fl_plan *plan = copy(region, from, 1, sizeof *from);
	if (!plan)
		return NULL;
	plan->devices = copy(region, from->devices, from->device_count,
			     sizeof *from->devices);
	plan->switches = copy(region, from->switches, from->switch_count,
			      sizeof *from->switches);
	plan->runs = copy(region, from->runs, from->run_count,
			  sizeof *from->runs);
	plan->feeds = copy(region, from->feeds, from->feed_count,
			   sizeof *from->feeds);
	plan->wired = from->run_count > 0;
	return fl_region_full(region) ? NULL : plan;
}

/* What cannot be read as lines at all. */
static bool is_text(struct fl_reader *r, const char *text, size_t n)
{
	const struct fl_span first = { .line = 1, .column = 1 };
	const unsigned char a = n > 1 ? (unsigned char)text[0] : 0;
	const unsigned char b = n > 1 ? (unsigned char)text[1] : 0;
	if (n > FL_PLAN_TEXT)
		fl_reader_fault(r, first,
			"this file is larger than 1 MiB",
			"a plan is a short text; is this another file?");
	else if ((a == 0xff && b == 0xfe) || (a == 0xfe && b == 0xff))
		fl_reader_fault(r, first,
			"this file is UTF-16",
			"save it as UTF-8");
	else
		return true;
	return false;
}

static void no_memory(struct fl_reader *r)
{
	fl_reader_fault(r, (struct fl_span){ .line = 1, .column = 1 },
		"there is no memory for this plan",
		"close other programs, or make the plan smaller");
}

static struct fl_plan *read_all(struct fl_reader *r, const char *text, size_t n)
{
	for (int pass = FL_PASS_SWITCHES; pass <= FL_PASS_REFERENCES; pass++) {
		r->pass = (enum fl_pass)pass;
		read_pass(r, text, n);
	}
	fl_reader_check(r);
	struct fl_plan *plan = r->faults->n ? NULL : cut(r->plan, r->region);
	if (fl_region_full(r->region))
		no_memory(r);
	fl_faults_sort(r->faults);
	return r->faults->n ? NULL : plan;
}

struct fl_plan *fl_plan_read(const char *text, size_t n,
			     struct fl_region *region,
			     struct fl_plan_faults *faults)
{
	struct fl_region *work = fl_region_new(WORK);
	struct fl_plan plan = { 0 }, *read = NULL;
	struct fl_reader r = { .plan = &plan, .region = region,
			       .faults = faults };
	*faults = (struct fl_plan_faults){ 0 };
	if (work)
		r.said = fl_region_array(work, fl_keys_room(), sizeof *r.said);
	if (!r.said || !has_room(&plan, work))
		no_memory(&r);
	else if (is_text(&r, text, n))
		read = read_all(&r, text, n);
	fl_region_free(work);
	return read;
}

struct fl_plan *fl_plan_of_one(const char *name, struct fl_region *region)
{
	struct fl_plan_faults faults = { 0 };
	struct fl_device device;
	struct fl_plan plan = { .devices = &device };
	struct fl_reader r = { .plan = &plan, .region = region,
			       .faults = &faults };
	plan.name = "";
	plan.laptop.run = plan.laptop.place.index = FL_NONE;
	const struct fl_span span = fl_span_trim((struct fl_span){
		name, strlen(name), 1, 1 });
	if (fl_reader_make(&r, FL_SECTION_DEVICE, span) == FL_NONE)
		return NULL;
	/* "radar" is its name and likely its kind, and part of what it
	 * announces. */
	device.kind = device.name;
	device.glob = fl_region_format(region, "*%s*", device.name);
	return cut(&plan, region);
}
