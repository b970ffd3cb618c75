/* match.h -- which heard stations are which planned devices.
 *
 * By MAC, then by announced name or service, then by address; one station
 * belongs to one device. A pure function of ledger and plan.
 *
 * Shapes  one row a device; a device may be several stations
 * Owns    all in the region given
 */
#ifndef FL_DIAGNOSE_MATCH_H
#define FL_DIAGNOSE_MATCH_H

#include "diagnose/answer.h"
#include "ledger/ledger.h"
#include "plan/plan.h"

enum { FL_MATCH_STATIONS = 8, FL_NO_DEVICE = -1 };

enum fl_matched_by { FL_BY_NOTHING, FL_BY_MAC, FL_BY_NAME, FL_BY_IP };

struct fl_matched {
	enum fl_matched_by by;
	uint32_t stations[FL_MATCH_STATIONS];   /* numbers in the ledger     */
	size_t   n;
	bool     ambiguous;              /* several fit and none by MAC      */
	uint32_t rivals[FL_MATCH_STATIONS];     /* where ambiguous           */
	size_t   rival_count;
	bool     replaced;               /* its MAC silent, its name heard
					  * from another                     */
	struct fl_mac replacement;
};

struct fl_matching {
	struct fl_matched *devices;      /* device_count of the plan         */
	int *owner;                      /* station: its device, or none     */
};

/* NULL: the region is full. */
struct fl_matching *fl_match(const struct fl_ledger *ledger,
			     const struct fl_plan *plan,
			     struct fl_region *region);
/* True if a station announces a name or service like the device's. */
bool fl_match_name(const struct fl_device *device, const struct fl_station *station);

#endif
