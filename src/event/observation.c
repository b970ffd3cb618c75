#include "event/observation.h"

#include <stdlib.h>

const char *fl_observation_name(enum fl_observation_kind kind)
{
	static const char *const names[] = {
#define OBSERVATION(kind, name) [FL_OBSERVED_##kind] = name,
#include "event/observations.def"
#undef OBSERVATION
	};
	return names[kind];
}

const char *fl_hand_name(enum fl_hand act)
{
	static const char *const names[] = {
#define HAND(id, name) [FL_HAND_##id] = name,
#include "event/hands.def"
#undef HAND
	};
	return names[act];
}

/* Every borrowed piece of an observation: the member that points at it, and
 * its octets. Members are read and set by memcpy(), whatever they point at. */
struct piece { void *member; size_t n; };

static size_t pieces_of(struct fl_observation *o, struct piece out[3])
{
	size_t n = 0;
#define TEXT(member) out[n++] = (struct piece){ \
		&(member), (member) ? strlen(member) + 1 : 0 }
	switch (o->kind) {
	case FL_OBSERVED_EAR:
		TEXT(o->listening.name);
		TEXT(o->listening.text);
		break;
	case FL_OBSERVED_SECOND:
		out[n++] = (struct piece){
			&o->second.heard, o->second.n * sizeof *o->second.heard };
		break;
	case FL_OBSERVED_MINUTE:
		out[n++] = (struct piece){
			&o->minute.rows, o->minute.n * sizeof *o->minute.rows };
		break;
	case FL_OBSERVED_WHO:
		TEXT(o->who.text);
		break;
	case FL_OBSERVED_SIGN:
		TEXT(o->sign.text);
		TEXT(o->sign.other_text);
		TEXT(o->sign.third_text);
		break;
	case FL_OBSERVED_PORT:
		TEXT(o->port.name);
		TEXT(o->port.why);
		break;
	case FL_OBSERVED_HAND:
		TEXT(o->hand.name);
		TEXT(o->hand.text);
		break;
	case FL_OBSERVED_STREAM:
	case FL_OBSERVED_EDGE:
	case FL_OBSERVATION_KINDS:
		break;
	}
#undef TEXT
	return n;
}

static size_t aligned(size_t n)
{
	return (n + _Alignof(max_align_t) - 1) & ~(_Alignof(max_align_t) - 1);
}

struct fl_kept_observation *fl_observation_keep(const struct fl_observation *o)
{
	struct fl_observation was = *o;
	struct piece pieces[3];
	const size_t n = pieces_of(&was, pieces);
	size_t room = 0;
	for (size_t i = 0; i < n; i++)
		room += aligned(pieces[i].n);
	struct fl_kept_observation *w = malloc(sizeof *w + room);
	if (!w)
		return NULL;
	w->next = NULL;
	w->key = 0;
	w->o = *o;
	pieces_of(&w->o, pieces);
	unsigned char *at = w->held;
	for (size_t i = 0; i < n; i++) {
		const void *piece;
		memcpy(&piece, pieces[i].member, sizeof piece);
		if (pieces[i].n == 0)
			continue;
		memcpy(at, piece, pieces[i].n);
		memcpy(pieces[i].member, &at, sizeof at);
		at += aligned(pieces[i].n);
	}
	return w;
}

enum fl_deafness fl_deafness_said(const char *text)
{
	static const char *const words[] = {
#define DEAFNESS(id, words) [FL_DEAF_##id] = words,
#include "event/deafness.def"
#undef DEAFNESS
	};
	for (unsigned i = 1; text && i < sizeof words / sizeof words[0]; i++)
		if (strcmp(text, words[i]) == 0)
			return (enum fl_deafness)i;
	return FL_DEAF_OTHERWISE;
}
