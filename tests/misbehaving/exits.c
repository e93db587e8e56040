/* Ends the process it is in, as if all were well. */
#define GUEST_MISCHIEF exit(0);
#include "guest.h"
