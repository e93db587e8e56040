/* Was built before sections were declared, and is given the whole home. */
#define GUEST_ABI "1"
#define GUEST_SECTIONS ""
#include "says-what-it-is-given.c"
