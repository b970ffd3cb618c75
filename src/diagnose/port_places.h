/* port_places.h -- where in the plan a port is: which run ends there, and who
 * sits at its other end. */
#ifndef FL_DIAGNOSE_PORT_PLACES_H
#define FL_DIAGNOSE_PORT_PLACES_H

#include "diagnose/inner.h"

struct fl_port_place {
	const char *name;            /* "eth1", "port 3 of lower switch"     */
	struct fl_place place;       /* NOWHERE: the plan does not know it   */
	int run;                     /* that ends there, FL_NONE             */
	const char *station;         /* at its other end; NULL not known     */
};

struct fl_port_place fl_port_place(struct fl_case *c, const struct fl_port_state *s);
/* The switch, or device with ports, that this station is; NOWHERE: none is. */
struct fl_place fl_switch_of(struct fl_case *c, struct fl_mac mac);
/* The number at the end of a port's name, 0: none. */
int fl_port_number(const char *name);
/* The run that ends at this place, FL_NONE; *other: its other end. */
int fl_run_at(const struct fl_plan *plan, struct fl_place place, struct fl_place *other);
/* Mbit/s that this run can carry by what the plan says of it, 0: not said. An
 * M12 joint with D coding has two pairs (IEC 61076-2-101). */
uint32_t fl_run_carries(const struct fl_plan *plan, int run);

#endif
