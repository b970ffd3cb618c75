#include <fairlead/status.h>
typedef int judge_placeholder;
