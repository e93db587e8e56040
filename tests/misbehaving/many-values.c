/* Answers with more values than any home has facts, in fewer bytes than an answer may have. */
#define GUEST_RUNS_ITSELF
#include "guest.h"
#include <string.h>
#define VALUES 1100000
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    static const char head[] = "{\"facts\": [", piece[] = "{},";
    static char text[sizeof head + VALUES * (sizeof piece - 1) + 8];
    size_t end = sizeof head - 1;
    (void)request;
    (void)request_length;
    memcpy(text, head, end);
    for (size_t value = 0; value < VALUES; value++, end += sizeof piece - 1) memcpy(text + end, piece, sizeof piece - 1);
    strcpy(text + end, "{}]}");
    return hand_over(MATELINE_PLUGIN_DONE, text, answer, answer_length);
}
