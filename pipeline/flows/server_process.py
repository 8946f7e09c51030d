"""The Prefect server of one command, as a process of its own that ends when its parent does.

The parent holds the other end of standard input: however the parent ends, KILL included, reading meets the end
of the file and this process leaves. That works on every system, which a parent-death signal does not.
"""

from __future__ import annotations

import os
import sys
import threading


def _leave_with_the_parent() -> None:
    while os.read(sys.stdin.fileno(), 1024):
        pass
    os._exit(0)


def main() -> None:
    """Serve on 127.0.0.1 at the port named by the first argument until the parent is gone."""
    threading.Thread(target=_leave_with_the_parent, daemon=True).start()
    import uvicorn

    uvicorn.run(
        "prefect.server.api.server:create_app",
        factory=True,
        host="127.0.0.1",
        port=int(sys.argv[1]),
        log_level="error",
        lifespan="on",
    )


if __name__ == "__main__":
    main()
