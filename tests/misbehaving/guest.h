/* A small plugin that behaves. A file that includes this one replaces a part of it and misbehaves there. */
#include "mateline_plugin.h"

#include <stdlib.h>
#include <string.h>

#ifndef GUEST_ABI
#define GUEST_ABI "2"
#endif

#ifndef GUEST_NAME
#define GUEST_NAME "guest"
#endif

#ifndef GUEST_READS
#define GUEST_READS ""
#endif

#ifndef GUEST_SECTIONS
#define GUEST_SECTIONS " \"sections\": [\"modules\"],"
#endif

#define GUEST_HANDSHAKE                                                                                               \
    "{\"abi\": " GUEST_ABI ", \"name\": \"" GUEST_NAME "\", \"version\": \"1.0.0\", \"about\": \"A guest.\","          \
    " \"reads\": [" GUEST_READS "]," GUEST_SECTIONS                                                                     \
    " \"writes\": [{\"name\": \"" GUEST_NAME ".level\", \"kind\": \"number\", \"meaning\": \"A level.\"},"             \
    " {\"name\": \"" GUEST_NAME ".length\", \"kind\": \"number\", \"units\": {\"si\": \"m\", \"si_digits\": 2,"      \
    " \"ip\": \"ft\", \"ip_digits\": 2}, \"meaning\": \"A length.\"}]}"

#define GUEST_FACT(quantity, value)                                                                                   \
    "{\"facts\": [{\"subject\": \"home\", \"quantity\": \"" quantity "\", \"value\": " value ","                      \
    " \"basis\": {\"method\": \"none\", \"source\": \"invented\"}}]}"

#ifndef GUEST_ANSWER
#define GUEST_ANSWER GUEST_FACT("guest.level", "{\"number\": {\"value\": 7}}")
#endif

static int32_t hand_over(int32_t status, const char *text, uint8_t **answer, size_t *answer_length) {
    *answer_length = strlen(text);
    *answer = malloc(*answer_length + 1);
    if (*answer == NULL) abort();
    memcpy(*answer, text, *answer_length);
    return status;
}

int32_t mateline_plugin_handshake(uint8_t **answer, size_t *answer_length) {
    return hand_over(MATELINE_PLUGIN_DONE, GUEST_HANDSHAKE, answer, answer_length);
}

#ifndef GUEST_RUNS_ITSELF
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    (void)request;
    (void)request_length;
#ifdef GUEST_MISCHIEF
    GUEST_MISCHIEF
#endif
    return hand_over(MATELINE_PLUGIN_DONE, GUEST_ANSWER, answer, answer_length);
}
#endif

#ifndef GUEST_TAKES_NOTHING_BACK
void mateline_plugin_free(uint8_t *answer, size_t answer_length) {
    (void)answer_length;
    free(answer);
}
#endif
