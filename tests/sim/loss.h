/* loss.h -- frames lost on the way, alone or in bursts. */
#ifndef SIM_LOSS_H
#define SIM_LOSS_H

#include "boat.h"

/* One lossy piece of the way. Losses come in bursts of so many frames
 * (E. N. Gilbert: "Capacity of a burst-noise channel", 1960, with a bad state
 * that loses all), or in stretches of so many ms. */
struct sim_loss {
	int      run;           /* SIM_NONE: the laptop's lead */
	sim_time from, to;
	double   chance, frames, ms;
	struct sim_prng prng;
	bool     bad;           /* in a burst of frames        */
	sim_time bad_from, bad_to;
};

enum { SIM_LOSSES = SIM_RUNS + SIM_FAULTS + 1 };

struct sim_losses { struct sim_loss at[SIM_LOSSES]; size_t n; };

void sim_losses_make(struct sim_losses *losses, const struct sim_boat *boat,
		     uint64_t seed);
/* Does this piece lose a frame at t? t never falls from call to call. */
bool sim_loses(struct sim_loss *loss, sim_time t);

#endif
