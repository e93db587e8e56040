/* Answers in bytes that are no text. */
#define GUEST_ANSWER "{\"facts\": [], \"\xff\xfe\": 1}"
#include "guest.h"
