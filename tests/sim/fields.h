/* fields.h -- the fields of one line of a scenario, taken by key.
 *
 * Errors  the first refusal sticks; later reads give what they can
 */
#ifndef SIM_FIELDS_H
#define SIM_FIELDS_H

#include "boat.h"

enum { FIELDS = 32 };

struct sim_reader {
	struct sim_boat *boat;
	int    line;
	char  *field[FIELDS];       /* NULL once used */
	size_t n;
	char  *why;
	size_t why_size;
	bool   refused;
};

void sim_refuse(struct sim_reader *r, const char *form, ...)
	__attribute__((format(printf, 2, 3)));
char *sim_trim(char *text);
/* What stands behind `key` in the next field that opens with it, or NULL. */
char *sim_value(struct sim_reader *r, const char *key);
/* The next field, whatever it is; NULL, and a refusal, if there is none. */
char *sim_next_field(struct sim_reader *r, const char *what);
void sim_copy(struct sim_reader *r, char out[static SIM_NAME],
	      const char *text);
double sim_as_number(struct sim_reader *r, const char *text);
double sim_number(struct sim_reader *r, const char *key, double otherwise);
/* Seconds in the text. */
sim_time sim_time_of(struct sim_reader *r, const char *key,
		     sim_time otherwise);
void sim_read_address(struct sim_reader *r, const char *text, uint8_t out[4]);
void sim_read_mac(struct sim_reader *r, const char *text, uint8_t out[6]);
/* "burst 3 frames" or "burst 40 ms"; left alone where it is not said. */
void sim_read_burst(struct sim_reader *r, double *frames, double *ms);
int sim_find_node(const struct sim_boat *boat, const char *name);
int sim_find_run(const struct sim_boat *boat, const char *label);
int sim_find_feed(const struct sim_boat *boat, const char *name);
/* "arch radar", or "lower switch 3": a name, and a port behind it. */
struct sim_place sim_place(struct sim_reader *r, const char *text);

/* read_fault.c */
void sim_read_fault(struct sim_reader *r);

#endif
