"""One JSON object a line in, one out; every question has its own thread, so that a play may run while others ask.

In:  {"id": 1, "word": "press", "args": {"key": 13}}
Out: {"id": 1, "answer": …} or {"id": 1, "trouble": "…", "errno": 22}
"""

import json
import os
import threading
import time
import traceback
from pathlib import Path
from typing import Any

from .words import WORDS

# The kernel's own name; its first number is the device's. The named link of udev comes seconds later.
PORTS = "vport*p1"


def answer(question: dict[str, Any]) -> dict[str, Any]:
    """What ``question`` comes to; troubles are told and never end the helper."""
    try:
        return {"id": question["id"], "answer": WORDS[question["word"]](**question["args"])}
    except Exception as trouble:
        last = traceback.format_exc().strip().splitlines()[-3:]
        return {"id": question["id"], "trouble": " | ".join(last), "errno": getattr(trouble, "errno", None)}


def serve() -> None:
    """Answer until the port ends."""
    port = os.open(next(Path("/dev").glob(PORTS)), os.O_RDWR)
    lock = threading.Lock()

    def reply(question: dict[str, Any]) -> None:
        data = memoryview(json.dumps(answer(question)).encode() + b"\n")
        with lock:
            while data:
                data = data[os.write(port, data) :]

    rest = b""
    while True:
        data = os.read(port, 65536)
        if not data:
            time.sleep(0.1)  # the host has not opened its end yet
        *whole, rest = (rest + data).split(b"\n")
        for line in whole:
            threading.Thread(target=reply, args=(json.loads(line),), daemon=True).start()


if __name__ == "__main__":
    serve()
