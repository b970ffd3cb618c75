#include "base/table.h"

#include <stdlib.h>
#include <string.h>
#include <sys/random.h>

bool fl_table_init(struct fl_table *table, size_t ceiling, size_t key_size,
		   size_t entry_size)
{
	size_t slots = 16;
	while (slots < 2 * ceiling)
		slots *= 2;
	*table = (struct fl_table){
		.slots = calloc(slots, sizeof *table->slots),
		.entries = calloc(ceiling, entry_size),
		.slot_count = slots, .ceiling = ceiling,
		.key_size = key_size, .entry_size = entry_size,
	};
	if (getrandom(&table->seed, sizeof table->seed, GRND_NONBLOCK) < 0)
		table->seed = (uint64_t)(uintptr_t)table->slots;
	if (table->slots && table->entries)
		return true;
	fl_table_close(table);
	return false;
}

void fl_table_close(struct fl_table *table)
{
	free(table->slots);
	free(table->entries);
	*table = (struct fl_table){ 0 };
}

/* A seeded multiply-and-fold over the key; the seed keeps a hostile sender
 * from choosing keys that meet in one slot. */
static uint64_t hash(const struct fl_table *table, const void *key)
{
	const unsigned char *p = key;
	uint64_t h = table->seed ^ 0x9e3779b97f4a7c15u;
	for (size_t left = table->key_size; left;) {
		uint64_t word = 0;
		const size_t take = left < 8 ? left : 8;
		memcpy(&word, p, take);
		h = (h ^ word) * 0xff51afd7ed558ccdu;
		h ^= h >> 32;
		p += take;
		left -= take;
	}
	h *= 0xc4ceb9fe1a85ec53u;
	return h ^ h >> 29;
}

void *fl_table_at(const struct fl_table *table, size_t number)
{
	return table->entries + number * table->entry_size;
}

size_t fl_table_number(const struct fl_table *table, const void *entry)
{
	return (size_t)((const unsigned char *)entry - table->entries) /
	       table->entry_size;
}

/* The slot that holds this key, or the empty one where it would go. */
static size_t slot_of(const struct fl_table *table, const void *key)
{
	const size_t mask = table->slot_count - 1;
	size_t i = (size_t)hash(table, key) & mask;
	while (table->slots[i] &&
	       memcmp(fl_table_at(table, table->slots[i] - 1), key,
		      table->key_size) != 0)
		i = (i + 1) & mask;
	return i;
}

void *fl_table_find(const struct fl_table *table, const void *key)
{
	const uint32_t held = table->slots[slot_of(table, key)];
	return held ? fl_table_at(table, held - 1) : NULL;
}

static void *place(struct fl_table *table, size_t slot, size_t number,
		   const void *key)
{
	void *entry = fl_table_at(table, number);
	memset(entry, 0, table->entry_size);
	memcpy(entry, key, table->key_size);
	table->slots[slot] = (uint32_t)number + 1;
	return entry;
}

void *fl_table_add(struct fl_table *table, const void *key, bool *added)
{
	const size_t slot = slot_of(table, key);
	*added = false;
	if (table->slots[slot])
		return fl_table_at(table, table->slots[slot] - 1);
	if (table->n == table->ceiling)
		return NULL;
	*added = true;
	return place(table, slot, table->n++, key);
}

/* Take a slot out and close the chain behind it, so that no key beyond the
 * hole is lost (Knuth, The Art of Computer Programming 3, 6.4, algorithm R). */
static void clear_slot(struct fl_table *table, size_t hole)
{
	const size_t mask = table->slot_count - 1;
	size_t i = hole;
	for (;;) {
		table->slots[hole] = 0;
		size_t home;
		do {
			i = (i + 1) & mask;
			if (!table->slots[i])
				return;
			home = (size_t)hash(table, fl_table_at(table, table->slots[i] - 1)) & mask;
		} while (((i - home) & mask) < ((i - hole) & mask));
		table->slots[hole] = table->slots[i];
		hole = i;
	}
}

void *fl_table_rename(struct fl_table *table, size_t number, const void *key)
{
	clear_slot(table, slot_of(table, fl_table_at(table, number)));
	return place(table, slot_of(table, key), number, key);
}
