"""Reference values as JSON, one case a line, so that a diff shows which cases changed."""

import json
import pathlib


def text(data):
    """A list under a key of the whole has a line for each of its items; all else stands beside its key."""
    entries = []
    for key, value in data.items():
        if isinstance(value, list):
            rows = ",\n".join(json.dumps(item, ensure_ascii=False, separators=(",", ":")) for item in value)
            entries.append(f"{json.dumps(key)}: [\n{rows}\n]")
        else:
            entries.append(f"{json.dumps(key)}: {json.dumps(value)}")
    return "{" + ",\n".join(entries) + "}\n"


def write(script, data):
    """Writes the data beside the script that made it, under its name."""
    pathlib.Path(script).with_suffix(".json").write_text(text(data), encoding="utf-8")
