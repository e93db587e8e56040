/* Returns a status that has no meaning. */
#define GUEST_RUNS_ITSELF
#include "guest.h"
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    (void)request;
    (void)request_length;
    return hand_over(42, "", answer, answer_length);
}
