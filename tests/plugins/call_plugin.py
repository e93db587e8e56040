"""Calls a plugin library through its three C functions and prints what came back, as JSON.

Usage: call_plugin.py LIBRARY REQUEST
"""

import ctypes
import json
import sys

BYTES = ctypes.POINTER(ctypes.c_uint8)


def taken(library, function, *arguments):
    """One call: its status, and its answer as JSON. The answer goes back to the library that allocated it."""
    answer, length = BYTES(), ctypes.c_size_t()
    status = function(*arguments, ctypes.byref(answer), ctypes.byref(length))
    text = ctypes.string_at(answer, length.value).decode("utf-8")
    library.mateline_plugin_free(answer, length)
    return status, json.loads(text)


library = ctypes.CDLL(sys.argv[1])
request = sys.argv[2].encode("utf-8")
out = [ctypes.POINTER(BYTES), ctypes.POINTER(ctypes.c_size_t)]
library.mateline_plugin_handshake.argtypes = out
library.mateline_plugin_handshake.restype = ctypes.c_int32
library.mateline_plugin_run.argtypes = [ctypes.c_char_p, ctypes.c_size_t, *out]
library.mateline_plugin_run.restype = ctypes.c_int32
library.mateline_plugin_free.argtypes = [BYTES, ctypes.c_size_t]
library.mateline_plugin_free.restype = None

handshake_status, handshake = taken(library, library.mateline_plugin_handshake)
run_status, response = taken(library, library.mateline_plugin_run, request, len(request))
print(
    json.dumps(
        {
            "handshake_status": handshake_status,
            "handshake": handshake,
            "run_status": run_status,
            "response": response,
        }
    )
)
