/* Says what it finds of its surroundings: variables, and handles beside the three streams. */
#define GUEST_RUNS_ITSELF
#include "guest.h"
#include <fcntl.h>
#include <stdio.h>
extern char **environ;
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    char found[80];
    int variables = 0, handles = 0;
    (void)request;
    (void)request_length;
    while (environ != NULL && environ[variables] != NULL) variables++;
    for (int handle = 3; handle < 256; handle++) handles += fcntl(handle, F_GETFD) >= 0;
    snprintf(found, sizeof found, "it finds %d variables and %d handles", variables, handles);
    return hand_over(MATELINE_PLUGIN_FAILED, found, answer, answer_length);
}
