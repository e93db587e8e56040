/* Starts a thread. */
#include <pthread.h>
static void *nothing(void *given) { return given; }
#define GUEST_MISCHIEF { pthread_t thread; if (pthread_create(&thread, NULL, nothing, NULL) == 0) pthread_join(thread, NULL); }
#include "guest.h"
