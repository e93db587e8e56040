/* States a number that is none. */
#define GUEST_ANSWER GUEST_FACT("guest.level", "{\"number\": {\"value\": null}}")
#include "guest.h"
