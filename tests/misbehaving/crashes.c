/* Writes where nothing is. */
#define GUEST_MISCHIEF *(volatile int *)16 = 1;
#include "guest.h"
