/* States a length in a unit that is none. */
#define GUEST_ANSWER GUEST_FACT("guest.length", "{\"number\": {\"value\": 7, \"unit\": \"cubit\"}}")
#include "guest.h"
