/* States a length in kilograms. */
#define GUEST_ANSWER GUEST_FACT("guest.length", "{\"number\": {\"value\": 7, \"unit\": \"kg\"}}")
#include "guest.h"
