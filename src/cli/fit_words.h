/* fit_words.h -- what the laptop's own system would send on a port, and the one
 * command that quiets it, laid out for a person.
 */
#ifndef FL_CLI_FIT_WORDS_H
#define FL_CLI_FIT_WORDS_H

#include "cli/fit.h"
#include "render/layout.h"

enum { FL_FIT_INDENT = 2 };

/* Nothing where nothing would be sent. */
void fl_fit_put_sends(struct fl_layout *l, const struct fl_port_facts *facts);
/* Nothing where nothing is to be done. */
void fl_fit_put_steps(struct fl_layout *l, const struct fl_port_facts *facts);
/* Both, for the port of this name, on standard error; before listening there,
 * where nobody may be disturbed. */
void fl_fit_warn(const char *port);

#endif
