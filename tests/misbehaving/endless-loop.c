/* Never comes to an end. */
#define GUEST_MISCHIEF for (volatile int go_on = 1; go_on;) {}
#include "guest.h"
