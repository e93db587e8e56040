/* Reads a file while it is being loaded, and says in its answer whether it could. */
#define GUEST_RUNS_ITSELF
#include "guest.h"
#include <stdio.h>
static int could;
__attribute__((constructor)) static void early(void) {
    FILE *file = fopen("/etc/passwd", "r");
    could = file != NULL;
}
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    (void)request;
    (void)request_length;
    return hand_over(MATELINE_PLUGIN_FAILED, could ? "it read the file" : "it could not read the file", answer,
                     answer_length);
}
