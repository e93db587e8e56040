/* Reads a file that is not its own. */
#include <stdio.h>
#define GUEST_MISCHIEF { FILE *file = fopen("/etc/passwd", "r"); if (file != NULL) fclose(file); }
#include "guest.h"
