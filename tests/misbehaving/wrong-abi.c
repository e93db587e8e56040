/* Was built for another boundary. */
#define GUEST_ABI "2, \"later\": true"
#include "guest.h"
