/* The second of two that read each other. */
#define GUEST_NAME "second"
#define GUEST_READS "\"first\""
#include "guest.h"
