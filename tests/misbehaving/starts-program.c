/* Starts another program. */
#define GUEST_MISCHIEF if (system("true") != 0) abort();
#include "guest.h"
