/* The first of two that read each other. */
#define GUEST_NAME "first"
#define GUEST_READS "\"second\""
#include "guest.h"
