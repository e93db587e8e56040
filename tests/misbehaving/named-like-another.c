/* Takes a namespace that a built-in plugin has. */
#define GUEST_NAME "takeoff"
#include "guest.h"
