/* Behaves. The others are told apart from this one. */
#include "guest.h"
