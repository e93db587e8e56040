/* Says that it cannot, with an escape sequence in its words. */
#define GUEST_RUNS_ITSELF
#include "guest.h"
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    (void)request;
    (void)request_length;
    return hand_over(MATELINE_PLUGIN_FAILED, "it has \033[31mno table\nfor this climate", answer, answer_length);
}
