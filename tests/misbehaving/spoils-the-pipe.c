/* Writes into every handle it finds. */
#include <unistd.h>
#define GUEST_MISCHIEF for (int handle = 3; handle < 16; handle++) if (write(handle, "nonsense", 8) < 0) continue;
#include "guest.h"
