/* prng.h -- random numbers that are the same on every machine. */
#ifndef SIM_PRNG_H
#define SIM_PRNG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct sim_prng { uint64_t state; };

/* A generator for one purpose: other purposes do not disturb it. */
struct sim_prng sim_prng(uint64_t seed, uint64_t purpose);
uint64_t sim_next(struct sim_prng *prng);
double sim_unit(struct sim_prng *prng);                        /* [0, 1) */
double sim_between(struct sim_prng *prng, double low, double high);
size_t sim_below(struct sim_prng *prng, size_t n);             /* 0..n-1 */
bool sim_chance(struct sim_prng *prng, double probability);
double sim_exponential(struct sim_prng *prng, double mean);

#endif
