#include "source/live.h"
const char fl_live_whole[] = "";
