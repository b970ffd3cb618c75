/* ssdp.h -- one SSDP message: a start line and header fields.
 *
 * Source  UPnP Device Architecture 1.0 section 1, 1.1 section 1, 2.0 section
 *         1; RFC 9112 section 5 (field lines)
 * Owns    nothing: all slices borrow the message
 * Ceiling FL_SSDP_LINES_MAX lines
 */
#ifndef FL_DECODE_SSDP_H
#define FL_DECODE_SSDP_H

#include "base/cursor.h"

enum { FL_SSDP_LINES_MAX = 64 };

enum fl_ssdp_kind { FL_SSDP_NOTIFY, FL_SSDP_SEARCH, FL_SSDP_RESPONSE };
enum fl_ssdp_nts {
	FL_SSDP_NO_NTS, FL_SSDP_ALIVE, FL_SSDP_BYEBYE, FL_SSDP_UPDATE,
};

/* A number in a field: counted only where `told`. */
struct fl_ssdp_number { bool told; uint32_t value; };

/* An absent field is an empty slice with `at` NULL. */
struct fl_ssdp {
	enum fl_ssdp_kind kind;
	enum fl_ssdp_nts  nts;
	struct fl_slice host, location, server, usn, nt, st, man, mx;
	struct fl_slice nts_text, cache, nls, boot, next, config;
	struct fl_ssdp_number max_age;       /* seconds, of CACHE-CONTROL    */
	struct fl_ssdp_number boot_id, next_boot_id, config_id;
};

/* Read one whole UDP payload. Returns c->status. */
enum fl_status fl_ssdp_read(struct fl_cursor *c, struct fl_ssdp *message);

#endif
