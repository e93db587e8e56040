/* Prints and never stops. */
#include <stdio.h>
#define GUEST_MISCHIEF for (;;) puts("and another thing");
#include "guest.h"
