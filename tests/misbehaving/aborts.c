/* Aborts. */
#define GUEST_MISCHIEF abort();
#include "guest.h"
