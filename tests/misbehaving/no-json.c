/* Answers in words. */
#define GUEST_ANSWER "seven"
#include "guest.h"
