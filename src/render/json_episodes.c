/* json_episodes.c -- what happened together, as programs read it.
 *
 * Source  fairlead-json(5)
 */
#include "render/json_values.h"

const char *fl_json_way(enum fl_return way)
{
	static const char *const keys[] = {
		[FL_REBOOTED] = "rebooted", [FL_OWN_LINK] = "own_link",
		[FL_UNAWARE] = "unaware", [FL_SOFTWARE] = "software",
		[FL_PAUSED] = "paused", [FL_RETURNS] = "cannot_tell",
	};
	return keys[way];
}

static json_t *returned(const struct fl_answer_episode *e)
{
	json_t *out = json_object();
	bool made = out;
	for (enum fl_return r = 0; r <= FL_RETURNS; r++)
		made &= !json_object_set_new(out, fl_json_way(r), millionths(round(MILLION *
			(r == FL_RETURNS ? e->cannot_tell : e->returned[r]))));
	if (!made)
		json_decref(out);
	return made ? out : NULL;
}

static json_t *one_episode(const void *list, size_t i)
{
	static const char *const happened[] = {
		[FL_HAPPENED_AWAY] = "away", [FL_HAPPENED_NETWORK_OFF] = "network_off",
		[FL_HAPPENED_WORK] = "work",
	};
	const struct fl_answer_episode *all = list, *e = &all[i];
	return object(
		"id", text(e->id),
		"what", text(happened[e->what]),
		"from", moment(true, e->from),
		"from_latest", moment(true, e->from_latest),
		"to", moment(e->to != 0, e->to),
		"fell", texts(&e->fell),
		"stayed", texts(&e->stayed),
		"blind", texts(&e->blind),
		"marks", texts(&e->marks),
		"return", e->to ? returned(e) : json_null(),
		"text", text(e->text), NULL);
}

json_t *fl_json_episodes(const struct fl_answer *answer)
{
	return array(answer->episode_count, one_episode, answer->episodes);
}
