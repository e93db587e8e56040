/* States a fact and does not say how it came about. */
#define GUEST_ANSWER "{\"facts\": [{\"subject\": \"home\", \"quantity\": \"guest.level\", \"value\": {\"flag\": true}, \"basis\": {\"method\": \"\", \"source\": \"\"}}]}"
#include "guest.h"
