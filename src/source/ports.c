#include "source/ports.h"
