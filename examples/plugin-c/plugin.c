/* Compactness: how much envelope a home has for its volume. An example of a plugin in plain C.
 *
 *   ratio = A / V, with A the interior envelope area (m2) and V the volume inside it (m3), both from the takeoff.
 *
 * Build:   cc -shared -fPIC -O2 -I core/sdk/include -o compactness.so examples/plugin-c/plugin.c
 *
 * There is no JSON library here: a request is read by a reader of a few functions, which walks over values without
 * keeping them. A larger plugin would take a library, linked in.
 */
#include "mateline_plugin.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- reading JSON ------------------------------------------------------------------------------------------------ */

static const char *skip_space(const char *at) {
    while (*at == ' ' || *at == '\t' || *at == '\n' || *at == '\r') at++;
    return at;
}

/* Past a string that begins here; NULL when it does not end. */
static const char *skip_string(const char *at) {
    for (at++; *at != '"'; at++) {
        if (*at == '\\') at++;
        if (*at == '\0') return NULL;
    }
    return at + 1;
}

/* Past a value that begins here; NULL when it does not end. Brackets are counted, so depth costs no stack. */
static const char *skip_value(const char *at) {
    size_t depth = 0;
    do {
        at = skip_space(at);
        if (*at == '\0') return NULL;
        if (*at == '"') {
            at = skip_string(at);
            if (at == NULL) return NULL;
        } else if (*at == '{' || *at == '[') {
            depth++;
            at++;
        } else if (*at == '}' || *at == ']') {
            if (depth == 0) return NULL;
            depth--;
            at++;
        } else if (*at == ',' || *at == ':') {
            at++;
        } else {
            while (*at != '\0' && strchr(",:{}[] \t\r\n", *at) == NULL) at++;
        }
    } while (depth > 0);
    return at;
}

/* The value of a member of the object that begins here; NULL when there is none. */
static const char *member(const char *object, const char *name) {
    size_t length = strlen(name);
    const char *at;
    if (object == NULL) return NULL;
    at = skip_space(object);
    if (*at != '{') return NULL;
    at = skip_space(at + 1);
    while (*at == '"') {
        const char *key = at + 1;
        const char *after = skip_string(at);
        if (after == NULL) return NULL;
        at = skip_space(after);
        if (*at != ':') return NULL;
        at = skip_space(at + 1);
        if ((size_t)(after - key) == length + 1 && strncmp(key, name, length) == 0) return at;
        at = skip_value(at);
        if (at == NULL) return NULL;
        at = skip_space(at);
        if (*at == ',') at = skip_space(at + 1);
    }
    return NULL;
}

static int is_text(const char *value, const char *text) {
    size_t length = strlen(text);
    return value != NULL && *value == '"' && strncmp(value + 1, text, length) == 0 && value[length + 1] == '"';
}

/* ---- the calculation --------------------------------------------------------------------------------------------- */

/* A number among the facts about the whole home, in SI; 0 when it is not there. */
static int home_fact(const char *request, const char *quantity, double *number) {
    const char *at = member(request, "facts");
    if (at == NULL || *at != '[') return 0;
    at = skip_space(at + 1);
    while (*at == '{') {
        if (is_text(member(at, "subject"), "home") && is_text(member(at, "quantity"), quantity)) {
            const char *value = member(member(member(at, "value"), "number"), "value");
            char *end;
            if (value == NULL) return 0;
            *number = strtod(value, &end);
            return end != value;
        }
        at = skip_value(at);
        if (at == NULL) return 0;
        at = skip_space(at);
        if (*at == ',') at = skip_space(at + 1);
    }
    return 0;
}

#define AREA "takeoff.interior_envelope_area"
#define VOLUME "takeoff.volume"

static const char HANDSHAKE[] =
    "{\"abi\": 2, \"name\": \"compactness\", \"version\": \"1.0.0\","
    " \"about\": \"How much envelope a home has for its volume.\", \"reads\": [\"takeoff\"],"
    " \"sections\": [],"
    " \"writes\": [{\"name\": \"compactness.ratio\", \"kind\": \"number\","
    " \"units\": {\"si\": \"1/m\", \"si_digits\": 3, \"ip\": \"1/ft\", \"ip_digits\": 4},"
    " \"meaning\": \"Compactness: interior envelope area over volume.\"}]}";

static const char MISSING[] =
    "{\"missing\": [{\"subject\": \"home\", \"quantity\": \"compactness.ratio\","
    " \"because\": \"the takeoff has no envelope area or no volume\"}]}";

static const char FACT[] =
    "{\"facts\": [{\"subject\": \"home\", \"quantity\": \"compactness.ratio\","
    " \"value\": {\"number\": {\"value\": %.17g, \"unit\": \"1/m\"}},"
    " \"basis\": {\"method\": \"envelope area over volume\", \"source\": \"common practice, no source\","
    " \"steps\": [{\"equation\": \"ratio = A / V\", \"terms\": ["
    "{\"symbol\": \"A\", \"meaning\": \"interior envelope area\","
    " \"value\": {\"number\": {\"value\": %.17g, \"unit\": \"m\u00b2\"}},"
    " \"units\": {\"si\": \"m\u00b2\", \"si_digits\": 1, \"ip\": \"ft\u00b2\", \"ip_digits\": 0},"
    " \"origin\": {\"fact\": {\"subject\": \"home\", \"quantity\": \"" AREA "\"}}},"
    "{\"symbol\": \"V\", \"meaning\": \"volume\","
    " \"value\": {\"number\": {\"value\": %.17g, \"unit\": \"m\u00b3\"}},"
    " \"units\": {\"si\": \"m\u00b3\", \"si_digits\": 1, \"ip\": \"ft\u00b3\", \"ip_digits\": 0},"
    " \"origin\": {\"fact\": {\"subject\": \"home\", \"quantity\": \"" VOLUME "\"}}}]}]}}]}";

/* ---- the boundary ------------------------------------------------------------------------------------------------ */

/* Hands over a text of its own allocation. */
static int32_t hand_over(int32_t status, const char *text, uint8_t **answer, size_t *answer_length) {
    size_t length = strlen(text);
    uint8_t *buffer = malloc(length > 0 ? length : 1);
    if (buffer == NULL) {
        *answer = NULL;
        *answer_length = 0;
        return MATELINE_PLUGIN_FAILED;
    }
    memcpy(buffer, text, length);
    *answer = buffer;
    *answer_length = length;
    return status;
}

int32_t mateline_plugin_handshake(uint8_t **answer, size_t *answer_length) {
    return hand_over(MATELINE_PLUGIN_DONE, HANDSHAKE, answer, answer_length);
}

int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    char *text = malloc(request_length + 1);
    char found[4096];
    double area, volume;
    if (text == NULL) return hand_over(MATELINE_PLUGIN_FAILED, "it has no memory left", answer, answer_length);
    memcpy(text, request, request_length);
    text[request_length] = '\0';
    if (home_fact(text, AREA, &area) && home_fact(text, VOLUME, &volume) && volume > 0.0) {
        snprintf(found, sizeof found, FACT, area / volume, area, volume);
    } else {
        snprintf(found, sizeof found, "%s", MISSING);
    }
    free(text);
    return hand_over(MATELINE_PLUGIN_DONE, found, answer, answer_length);
}

void mateline_plugin_free(uint8_t *answer, size_t answer_length) {
    (void)answer_length;
    free(answer);
}
