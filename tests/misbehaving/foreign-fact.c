/* States a fact of another plugin. */
#define GUEST_ANSWER GUEST_FACT("takeoff.volume", "{\"number\": {\"value\": 7, \"unit\": \"m\u00b3\"}}")
#include "guest.h"
