/* Takes memory until there is no more, and uses it. */
#define GUEST_MISCHIEF for (;;) memset(malloc(16 << 20), 1, 16 << 20);
#include "guest.h"
