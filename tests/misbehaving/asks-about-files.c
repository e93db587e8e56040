/* Asks whether files are there and how long they are, without opening any. */
#define GUEST_RUNS_ITSELF
#define _GNU_SOURCE
#include "guest.h"
#include <fcntl.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>
int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length) {
    static const char *const files[] = {"/", "/etc/passwd", "/proc/self/exe", "."};
    char found[80], link[80];
    int learnt = 0;
    struct stat about;
    struct statx more;
    (void)request;
    (void)request_length;
    for (size_t file = 0; file < sizeof files / sizeof *files; file++) {
        learnt += stat(files[file], &about) == 0;
        learnt += lstat(files[file], &about) == 0;
        learnt += statx(AT_FDCWD, files[file], 0, STATX_SIZE, &more) == 0;
        learnt += access(files[file], F_OK) == 0;
        learnt += faccessat(AT_FDCWD, files[file], F_OK, 0) == 0;
        learnt += readlink(files[file], link, sizeof link) >= 0;
    }
    snprintf(found, sizeof found, "it learnt %d things of files", learnt);
    return hand_over(MATELINE_PLUGIN_FAILED, found, answer, answer_length);
}
