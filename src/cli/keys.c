#include "cli/keys.h"

#include <stdio.h>
#include <string.h>

static void mark(struct fl_keys *k)
{
	k->typing = true;
	k->typed[0] = '\0';
}

static void bare_mark(struct fl_keys *k)
{
	k->hand(k->context, FL_HAND_MARK, "");
}

/* From the last row to none, then to the first. */
static void next(struct fl_keys *k)
{
	k->chosen = k->chosen + 1 < k->rows ? k->chosen + 1 : -1;
}

static void work(struct fl_keys *k)
{
	k->working = !k->working;
	k->hand(k->context, FL_HAND_WORK, k->working ? "on" : "off");
}

static void quit(struct fl_keys *k) { k->quit = true; }

static const struct {
	int key;
	unsigned views;
	void (*press)(struct fl_keys *);
	const char *words;
} rows[] = {
	{ ' ', FL_KEYS_WIGGLE, bare_mark, "space mark" },
	{ 'm', FL_KEYS_SCREEN, mark, "m mark" },
	{ 'm', FL_KEYS_WIGGLE, mark, "m mark with words" },
	{ 'n', FL_KEYS_SCREEN, next, "n next device" },
	{ 'w', FL_KEYS_SCREEN, work, "w work on/off" },
	{ 'q', FL_KEYS_SCREEN | FL_KEYS_WIGGLE, quit, "q quit" },
};
enum { ROWS = sizeof rows / sizeof rows[0] };

struct fl_keys fl_keys_begin(enum fl_keys_view view,
	void (*hand)(void *context, enum fl_hand act, const char *text),
	void *context)
{
	return (struct fl_keys){ .view = view, .hand = hand, .context = context,
				 .chosen = -1 };
}

void fl_keys_rows(struct fl_keys *k, size_t count)
{
	k->rows = count < INT16_MAX ? (int)count : INT16_MAX;
	if (k->chosen >= k->rows)
		k->chosen = -1;
}

/* RFC 3629 section 3. */
static size_t encode(uint32_t c, char out[static 4])
{
	static const uint32_t lead[] = { 0, 0x00, 0xc0, 0xe0, 0xf0 };
	const size_t n = c < 0x80 ? 1 : c < 0x800 ? 2 : c < 0x10000 ? 3 : 4;
	for (size_t i = n; i-- > 0; c >>= 6)
		out[i] = (char)(i ? 0x80 | (c & 0x3f) : lead[n] | c);
	return n;
}

/* Controls are no text, nor are halves of UTF-16 (RFC 3629 section 3). */
static bool is_text(int key)
{
	return key >= ' ' && key < FL_KEY_ENTER && (key < 0x7f || key > 0x9f) &&
	       (key < 0xd800 || key > 0xdfff);
}

static void type(struct fl_keys *k, int key)
{
	char octets[4];
	const size_t n = strlen(k->typed), more = encode((uint32_t)key, octets);
	if (n + more > FL_KEYS_TYPED)
		return;
	memcpy(k->typed + n, octets, more);
	k->typed[n + more] = '\0';
}

/* One character, not one octet. */
static void take_back(struct fl_keys *k)
{
	size_t n = strlen(k->typed);
	while (n && (k->typed[--n] & 0xc0) == 0x80)
		;
	k->typed[n] = '\0';
}

static void press_typing(struct fl_keys *k, int key)
{
	if (key == FL_KEY_BACKSPACE) {
		take_back(k);
	} else if (key == FL_KEY_ENTER || key == FL_KEY_ESCAPE) {
		k->typing = false;
		if (key == FL_KEY_ENTER)
			k->hand(k->context, FL_HAND_MARK, k->typed);
	} else if (is_text(key)) {
		type(k, key);
	}
}

void fl_keys_press(struct fl_keys *k, int key)
{
	if (k->typing) {
		press_typing(k, key);
		return;
	}
	for (size_t i = 0; i < ROWS; i++)
		if (rows[i].key == key && rows[i].views & k->view) {
			rows[i].press(k);
			return;
		}
}

const char *fl_keys_words(enum fl_keys_view view, char *out, size_t room)
{
	size_t n = 0;
	out[0] = '\0';
	for (size_t i = 0; i < ROWS; i++)
		if (rows[i].views & view && n < room)
			n += (size_t)snprintf(out + n, room - n, "%s%s",
					      n ? "  " : "", rows[i].words);
	return out;
}
