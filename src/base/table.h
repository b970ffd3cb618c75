/* table.h -- numbered entries found again by their key, with a ceiling.
 *
 *   slots   [ . 2 . . 1 . 3 . ]   open addressing, number + 1 or 0
 *   entries [ 0 | 1 | 2 | 3 | ]   dense, in the order they were added
 *
 * An entry begins with its key. Entries never move, so a number or pointer
 * stays good until the table is freed or the entry is renamed. Walks go by
 * number: the hash seed never shows in an output.
 *
 * Owns    both arrays, allocated once at fl_table_init()
 * Errors  fl_table_add() gives NULL when the ceiling is reached
 */
#ifndef FL_BASE_TABLE_H
#define FL_BASE_TABLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct fl_table {
	uint32_t *slots;
	unsigned char *entries;
	size_t    slot_count, n, ceiling, key_size, entry_size;
	uint64_t  seed;
};

/* Room for `ceiling` entries of `entry_size` octets whose first `key_size`
 * octets are the key. False: no memory. */
bool fl_table_init(struct fl_table *table, size_t ceiling, size_t key_size,
		   size_t entry_size);
void fl_table_close(struct fl_table *table);

/* The entry with this key, or NULL. */
void *fl_table_find(const struct fl_table *table, const void *key);
/* The entry with this key, made and zeroed if there was none; NULL if full. */
void *fl_table_add(struct fl_table *table, const void *key, bool *added);
/* Give entry `number` to a new key: zeroed, its old key forgotten. */
void *fl_table_rename(struct fl_table *table, size_t number, const void *key);
/* The entry with this number, which must be below `n`. */
void *fl_table_at(const struct fl_table *table, size_t number);
size_t fl_table_number(const struct fl_table *table, const void *entry);

#endif
