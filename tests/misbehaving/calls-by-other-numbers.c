/* Asks for its process number by the x32 numbering of calls, which no plugin has a use for. */
#define GUEST_RUNS_ITSELF
#define _GNU_SOURCE
#include "guest.h"
#include <unistd.h>
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    (void)request;
    (void)request_length;
    syscall(0x40000000L + 39);
    return hand_over(MATELINE_PLUGIN_FAILED, "it went on", answer, answer_length);
}
