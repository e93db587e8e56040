/* Talks to the network. */
#include <sys/socket.h>
#define GUEST_MISCHIEF if (socket(AF_INET, SOCK_STREAM, 0) < 0) abort();
#include "guest.h"
