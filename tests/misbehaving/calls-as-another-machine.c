/* Asks for its process number as a 32-bit program would. */
#define GUEST_RUNS_ITSELF
#include "guest.h"
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    int number = 20;
    (void)request;
    (void)request_length;
    __asm__ volatile("int $0x80" : "+a"(number) : : "memory");
    return hand_over(MATELINE_PLUGIN_FAILED, "it went on", answer, answer_length);
}
