"""A desk in a process of its own, that a test kills: ``mortal.py RECORD PORT WHERE``.

It says "ready" when it listens, and "deciding" where it stands still: ``before`` a decision is written,
``within`` its transaction, or ``after``, before it is answered. ``nowhere`` stands still nowhere.
"""

from __future__ import annotations

import sys
import threading
import time
from pathlib import Path
from typing import Any

import uvicorn

from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings
from witnessmark.record import Store, entries


def stand(*_: Any) -> None:
    print("deciding", flush=True)
    while True:
        time.sleep(1)


def arm(where: str) -> None:
    decide = Store.decide

    def decided(*given: Any) -> None:
        decide(*given)
        stand()

    if where == "before":
        Store.decide = stand  # type: ignore[method-assign]
    elif where == "within":
        entries.follow = stand
    elif where == "after":
        Store.decide = decided  # type: ignore[method-assign]


def main(record: str, port: str, where: str) -> None:
    arm(where)
    app = create(Settings(record=Path(record), jurisdiction="GB", live=False))
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=int(port), log_level="warning"))
    threading.Thread(target=_tell, args=[server], daemon=True).start()
    server.run()


def _tell(server: uvicorn.Server) -> None:
    while not server.started:
        time.sleep(0.02)
    print("ready", flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
