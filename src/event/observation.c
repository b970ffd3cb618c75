#include "event/observation.h"

const char *fl_observation_name(enum fl_observation_kind kind)
{
	static const char *const names[] = {
#define OBSERVATION(kind, name) [FL_OBSERVED_##kind] = name,
#include "event/observations.def"
#undef OBSERVATION
	};
	return names[kind];
}
