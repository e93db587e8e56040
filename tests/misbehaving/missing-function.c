/* Lacks one of the three functions. */
#define GUEST_TAKES_NOTHING_BACK
#include "guest.h"
