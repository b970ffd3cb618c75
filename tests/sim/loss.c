/* loss.c -- frames lost on the way, alone or in bursts.
 *
 * In the long run a share `chance` of the frames is lost either way.
 */
#include "loss.h"

static void add(struct sim_losses *losses, struct sim_loss loss, uint64_t seed)
{
	if (loss.chance <= 0)
		return;
	loss.prng = sim_prng(seed, 2000 + losses->n);
	loss.bad_to = loss.from < 0 ? 0 : loss.from;
	loss.bad_from = loss.bad_to;
	losses->at[losses->n++] = loss;
}

static struct sim_loss always(int index, const struct sim_run *run)
{
	return (struct sim_loss){ .run = index, .from = SIM_BEFORE,
		.to = SIM_AFTER, .chance = run->loss,
		.frames = run->burst_frames, .ms = run->burst_ms };
}

void sim_losses_make(struct sim_losses *losses, const struct sim_boat *boat,
		     uint64_t seed)
{
	losses->n = 0;
	add(losses, always(SIM_NONE, &boat->lead), seed);
	for (size_t i = 0; i < boat->run_count; i++)
		add(losses, always((int)i, &boat->runs[i]), seed);
	for (size_t i = 0; i < boat->fault_count; i++) {
		const struct sim_fault *fault = &boat->faults[i];
		if (fault->verb != SIM_LOSES)
			continue;
		const struct sim_loss loss = {
			.run = fault->subject == SIM_ON_LEAD ? SIM_NONE
							     : fault->index,
			.from = fault->from, .to = fault->to,
			.chance = fault->chance, .frames = fault->burst_frames,
			.ms = fault->burst_ms };
		add(losses, loss, seed);
	}
}

static bool loses_in_time(struct sim_loss *loss, sim_time t)
{
	const double bad = loss->ms / 1e3;
	const double good = bad * (1 - loss->chance) / loss->chance;
	while (t >= loss->bad_to) {
		loss->bad_from = loss->bad_to +
			sim_seconds(sim_exponential(&loss->prng, good));
		loss->bad_to = loss->bad_from + 1 +
			sim_seconds(sim_exponential(&loss->prng, bad));
	}
	return t >= loss->bad_from;
}

bool sim_loses(struct sim_loss *loss, sim_time t)
{
	if (t < loss->from || t >= loss->to)
		return false;
	if (loss->ms > 0)
		return loses_in_time(loss, t);
	const double leave = 1 / loss->frames;
	const double enter = leave * loss->chance / (1 - loss->chance);
	loss->bad = loss->frames <= 1 ? sim_chance(&loss->prng, loss->chance)
		: sim_chance(&loss->prng, loss->bad ? 1 - leave : enter);
	return loss->bad;
}
