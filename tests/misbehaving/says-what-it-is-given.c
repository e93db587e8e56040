/* Says which parts of the home it is given. */
#define _GNU_SOURCE
#define GUEST_RUNS_ITSELF
#include "guest.h"
#include <stdio.h>
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    char given[80];
#define GIVEN(text) (memmem(request, request_length, text, strlen(text)) != NULL ? "some " : "no ")
    snprintf(given, sizeof given, "it is given %smodules, %sassemblies and %spacks", GIVEN("\"modules\":{\""),
             GIVEN("\"assemblies\":{\""), GIVEN("\"judge_by\":[\""));
    return hand_over(MATELINE_PLUGIN_FAILED, given, answer, answer_length);
}
