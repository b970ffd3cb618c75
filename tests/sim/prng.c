/* prng.c -- random numbers that are the same on every machine.
 *
 * Source  G. Steele, D. Lea, C. Flood: "Fast splittable pseudorandom number
 *         generators" (2014), figure 17
 */
#include "prng.h"

uint64_t sim_next(struct sim_prng *prng)
{
	uint64_t z = prng->state += 0x9e3779b97f4a7c15;
	z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9;
	z = (z ^ z >> 27) * 0x94d049bb133111eb;
	return z ^ z >> 31;
}

struct sim_prng sim_prng(uint64_t seed, uint64_t purpose)
{
	struct sim_prng mixed = { seed };
	mixed.state = sim_next(&mixed) ^ purpose * 0xd1342543de82ef95;
	mixed.state = sim_next(&mixed);
	return mixed;
}

double sim_unit(struct sim_prng *prng)
{
	return (double)(sim_next(prng) >> 11) * 0x1p-53;
}

double sim_between(struct sim_prng *prng, double low, double high)
{
	return low + (high - low) * sim_unit(prng);
}

size_t sim_below(struct sim_prng *prng, size_t n)
{
	return (size_t)(sim_next(prng) % n);
}

bool sim_chance(struct sim_prng *prng, double probability)
{
	return sim_unit(prng) < probability;
}

/* Natural logarithm of x in (0, 1]. Not libm's: its last digit differs from
 * one machine to the next. ln x = 2 artanh((x - 1) / (x + 1)). */
static double logarithm(double x)
{
	double sum = 0;
	for (; x < 0.5; x *= 2)
		sum -= 0.693147180559945309417;
	const double z = (x - 1) / (x + 1);
	double power = 2 * z;
	for (int k = 1; k < 34; k += 2) {
		sum += power / k;
		power *= z * z;
	}
	return sum;
}

double sim_exponential(struct sim_prng *prng, double mean)
{
	return -mean * logarithm(1 - sim_unit(prng));
}
