/* Was built for another boundary. */
#define GUEST_ABI "3, \"later\": true"
#include "guest.h"
