/* Asks the system to send mateline a signal for each answer that is read from the pipe. */
#define GUEST_RUNS_ITSELF
#define _GNU_SOURCE
#include "guest.h"
#include <fcntl.h>
#include <stdio.h>
#include <unistd.h>
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    char found[80];
    int allowed = 0;
    (void)request;
    (void)request_length;
    for (int handle = 0; handle < 16; handle++) {
        allowed += fcntl(handle, F_SETOWN, getppid()) == 0;
        allowed += fcntl(handle, F_SETSIG, 9) == 0;
        allowed += fcntl(handle, F_SETFL, O_ASYNC) == 0;
    }
    snprintf(found, sizeof found, "it was allowed %d of them", allowed);
    return hand_over(MATELINE_PLUGIN_FAILED, found, answer, answer_length);
}
