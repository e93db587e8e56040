/* Answers with one fact more than an answer may have. */
#define MORE
#include "as-much-as-may-be.c"
