/* Answers with as many facts as an answer may have, and as long ones: 62 MiB. With MORE, one fact more. */
#define GUEST_RUNS_ITSELF
#include "guest.h"
#include <stdio.h>
#include <string.h>
#ifdef MORE
#define FACTS 20001
#else
#define FACTS 20000
#endif
#define EACH 3250
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    static const char head[] = "{\"facts\": [";
    char *text = malloc(sizeof head + (size_t)FACTS * EACH + 8), *end = text + sizeof head - 1;
    (void)request;
    (void)request_length;
    if (text == NULL) abort();
    memcpy(text, head, sizeof head);
    for (int fact = 0; fact < FACTS; fact++, end += EACH) {
        int used = sprintf(end,
                           "%c{\"subject\": \"modules.m%d\", \"quantity\": \"guest.level\", \"value\": {\"number\":"
                           " {\"value\": 7}}, \"basis\": {\"method\": \"none\", \"source\": \"",
                           fact ? ',' : ' ', fact);
        memset(end + used, 'x', EACH - used - 3);
        memcpy(end + EACH - 3, "\"}}", 3);
    }
    strcpy(end, "]}");
    *answer = (uint8_t *)text;
    *answer_length = strlen(text);
    return MATELINE_PLUGIN_DONE;
}
