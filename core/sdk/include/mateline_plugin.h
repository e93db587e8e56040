/* The plugin boundary of mateline, for every language that can export C functions.
 *
 * A plugin is a shared library that exports the three functions below. Across the line go integers and buffers of
 * UTF-8 JSON, described in schemas/plugin-handshake.schema.json, plugin-request.schema.json and
 * plugin-response.schema.json.
 *
 * What mateline keeps to:
 *   - The handshake is the first call. mateline reads the number "abi" in it before anything else, and calls no other
 *     function but mateline_plugin_free when it does not speak that number. It speaks 1 and 2: a plugin of 2 names the
 *     "sections" of the home that it reads and is given no other; one of 1 names none and is given the whole home.
 *   - Calls may come from different threads, never two at a time.
 *   - A request may be read until the call returns; it ends at its length, with no zero byte behind it.
 *   - Every answer is handed back once, with its length, to mateline_plugin_free of the same library.
 *
 * What a plugin keeps to:
 *   - It lets no exception, panic or long jump cross.
 *   - It opens no file, socket, program or thread, writes to no stream, and keeps no state from one call to the next:
 *     the same request gives the same answer.
 *   - Everything it needs beside the C library, the maths library and the compiler's support library is linked in.
 */
#ifndef MATELINE_PLUGIN_H
#define MATELINE_PLUGIN_H

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* The number of this boundary; it stands as "abi" in the handshake. */
#define MATELINE_PLUGIN_ABI 2

/* The answer is the message that was asked for. */
#define MATELINE_PLUGIN_DONE 0
/* The plugin could not do its work at all; the answer is UTF-8 text that says why. A missing input of the home is no
 * such failure: it goes into "missing". */
#define MATELINE_PLUGIN_FAILED 1

#if defined(_WIN32)
#define MATELINE_PLUGIN_EXPORT __declspec(dllexport)
#else
#define MATELINE_PLUGIN_EXPORT __attribute__((visibility("default")))
#endif

/* Says who the plugin is, what it reads and what it writes. */
MATELINE_PLUGIN_EXPORT int32_t mateline_plugin_handshake(uint8_t **answer, size_t *answer_length);

/* Computes the facts of one home. */
MATELINE_PLUGIN_EXPORT int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer,
                                                   size_t *answer_length);

/* Takes an answer back. */
MATELINE_PLUGIN_EXPORT void mateline_plugin_free(uint8_t *answer, size_t answer_length);

#ifdef __cplusplus
}
#endif

#endif
