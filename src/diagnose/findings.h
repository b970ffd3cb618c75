/* findings.h -- the table of findings, made of findings.def. */
#ifndef FL_DIAGNOSE_FINDINGS_H
#define FL_DIAGNOSE_FINDINGS_H

#include "diagnose/inner.h"

/* Adds what it finds to the answer; says nothing where nothing is wrong. */
typedef void fl_find_fn(struct fl_case *c, const char *id);

#define FINDING(id, function, means) fl_find_fn fl_##function;
#include "diagnose/findings.def"
#undef FINDING

/* addresses.c: the network most stations are in; false where there is none
 * that three quarters of at least three share. */
struct fl_network { struct fl_ip ip; unsigned bits; size_t members, all; };
bool fl_network_of_most(struct fl_case *c, struct fl_network *out);
/* A station's first address that is not self-assigned, else its first. */
bool fl_own_address(struct fl_case *c, struct fl_mac mac, struct fl_ip *out);

#endif
