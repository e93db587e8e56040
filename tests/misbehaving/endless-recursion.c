/* Calls itself until the stack is used up. */
#include <stddef.h>
static int deeper(volatile char *above) {
    volatile char here[4096];
    here[0] = above[0];
    return deeper(here) + here[0];
}
#define GUEST_MISCHIEF { volatile char first[1] = {1}; if (deeper(first)) abort(); }
#include "guest.h"
