/* snmp.c -- a switch tells of a link, of its tree, or that it started.
 *
 * Source  RFC 1157 section 4.1.6, RFC 1215 section 2 (traps); RFC 3416
 *         section 4.2.6; RFC 2863 section 6 (linkDown, linkUp); RFC 4188
 *         section 4 (newRoot, topologyChange)
 * Takes   one whole UDP payload, port 162: SNMPv1 trap, SNMPv2 trap or inform
 * Says    PORT, STARTING, TOPOLOGY; of each NUMBERED uptime
 * Refuses what snmp_read.c and ber.c refuse
 */
#include "decode/decode.h"
#include "decode/snmp.h"

enum { ADMIN_DOWN = 2 };             /* RFC 2863 ifAdminStatus */

static void say_port(const struct fl_snmp *m, struct fl_facts *out)
{
	if (!m->index && !m->name.n && !m->description.n)
		return;
	struct fl_fact *f = fl_say_port(out);
	f->text = fl_static("trap");
	f->other_text = m->name.n ? m->name : m->description;
	f->port->index = m->index;
	f->port->link = m->trap == FL_SNMP_LINK_UP;
	/* Switched off by a hand it is told; else it should be up. */
	f->port->enabled = m->admin != ADMIN_DOWN;
}

static void say_start(const struct fl_snmp *m, struct fl_facts *out)
{
	struct fl_fact *f = fl_say(out, FL_FACT_STARTING);
	f->aspect = FL_BY_NUMBERS;
	f->text = fl_static(m->trap == FL_SNMP_COLD_START ? "coldStart"
							  : "warmStart");
}

static void say_uptime(const struct fl_snmp *m, struct fl_facts *out)
{
	if (!m->uptime_told)
		return;
	struct fl_fact *f = fl_say(out, FL_FACT_NUMBERED);
	f->aspect = FL_NUMBER_RUNS;
	f->text = fl_static("uptime");
	f->number = m->uptime;
}

enum fl_status fl_decode_snmp(const struct fl_packet *packet,
			      struct fl_cursor *c, struct fl_facts *out,
			      enum fl_manner *manner)
{
	(void)packet, (void)manner;
	struct fl_snmp m;
	if (fl_snmp_read(c, &m) != FL_OK)
		return c->status;
	switch (m.trap) {
	case FL_SNMP_COLD_START:
	case FL_SNMP_WARM_START:
		say_start(&m, out);
		break;
	case FL_SNMP_LINK_DOWN:
	case FL_SNMP_LINK_UP:
		say_port(&m, out);
		break;
	case FL_SNMP_NEW_ROOT:
	case FL_SNMP_TOPOLOGY_CHANGE:
		fl_say(out, FL_FACT_TOPOLOGY)->number = 1;
		break;
	case FL_SNMP_OTHER:
		break;
	}
	say_uptime(&m, out);
	return FL_OK;
}
