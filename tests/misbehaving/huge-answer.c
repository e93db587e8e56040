/* Answers at length. */
#define GUEST_RUNS_ITSELF
#include "guest.h"
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    (void)request;
    (void)request_length;
    *answer = malloc(1);
    *answer_length = (size_t)1 << 40;
    return MATELINE_PLUGIN_DONE;
}
