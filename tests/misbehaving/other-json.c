/* Answers in JSON of another shape. */
#define GUEST_ANSWER "{\"facts\": [{\"subject\": \"home\", \"kwantity\": \"guest.level\"}]}"
#include "guest.h"
