/* ssdp.c -- which services a device announces, seeks or takes back.
 *
 * Source  UPnP Device Architecture (see ssdp.h)
 * Takes   one whole UDP payload, port 1900
 * Says    of an announcement or answer: IDENTITY, NUMBERED; of a byebye:
 *         LEAVING; of a search: WANTS
 * Refuses what ssdp_read.c refuses
 */
#include "decode/decode.h"
#include "decode/ssdp.h"

static void say_identity(struct fl_facts *out, enum fl_identity what,
			 const struct fl_ssdp *m, struct fl_slice text)
{
	if (!text.n)
		return;
	struct fl_fact *fact = fl_say(out, FL_FACT_IDENTITY);
	fact->aspect = what;
	fact->text = text;
	fact->seconds = m->max_age.value;
}

/* A boot number is no sign; that it changed is, which whoever keeps the last
 * one can tell. An update tells a change that is no restart (UDA 1.1 section
 * 1.2.4). 01-NLS is what announcers before 1.1 sent in its place. */
static void say_numbers(const struct fl_ssdp *m, struct fl_facts *out)
{
	const bool ahead = m->nts == FL_SSDP_UPDATE;
	const struct fl_ssdp_number id = ahead ? m->next_boot_id : m->boot_id;
	if (id.told) {
		struct fl_fact *boot = fl_say(out, FL_FACT_NUMBERED);
		boot->text = fl_static("BOOTID");
		boot->number = id.value;
		boot->aspect = ahead ? FL_NUMBER_AHEAD : FL_NUMBER_CHANGES;
	}
	if (m->nls.n) {
		struct fl_fact *nls = fl_say(out, FL_FACT_NUMBERED);
		nls->text = fl_static("01-NLS");
		nls->other_text = m->nls;
	}
}

static void say_present(const struct fl_ssdp *m, struct fl_slice service,
			struct fl_facts *out)
{
	say_identity(out, FL_ID_SERVICE, m, service);
	say_identity(out, FL_ID_SOFTWARE, m, m->server);
	say_numbers(m, out);
}

static void say_byebye(const struct fl_ssdp *m, struct fl_facts *out)
{
	struct fl_fact *fact = fl_say(out, FL_FACT_LEAVING);
	fact->aspect = FL_BY_SERVICES;
	fact->text = m->nt;
}

static void say_search(const struct fl_ssdp *m, struct fl_facts *out)
{
	struct fl_fact *fact = fl_say(out, FL_FACT_WANTS);
	fact->aspect = FL_WANTS_SERVICE;
	fact->text = m->st;
}

enum fl_status fl_decode_ssdp(const struct fl_packet *packet,
			      struct fl_cursor *c, struct fl_facts *out,
			      enum fl_manner *manner)
{
	(void)packet;
	struct fl_ssdp m;
	if (fl_ssdp_read(c, &m) != FL_OK)
		return c->status;
	switch (m.kind) {
	case FL_SSDP_NOTIFY:
		if (m.nts == FL_SSDP_BYEBYE)
			say_byebye(&m, out);
		else
			say_present(&m, m.nt, out);
		break;
	case FL_SSDP_SEARCH:
		say_search(&m, out);
		break;
	case FL_SSDP_RESPONSE:
		*manner = FL_ANSWER;
		say_present(&m, m.st, out);
		break;
	}
	return c->status;
}
