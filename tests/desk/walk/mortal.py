"""A desk in a process of its own, that a test kills: ``python mortal.py RECORD PORT WHERE``.

It says each step on its standard output, and stands still at one of them: in ``join`` between two blocks, in
``read`` while the speech model works, in ``settle`` after the record has the walkround. ``none`` stands still
nowhere; ``tiny`` neither, and hears with the tiny speech model.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import uvicorn

from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings
from witnessmark.desk.walk import journal, parts
from witnessmark.transcribe import Transcriber
from witnessmark.types import Sound, Transcript

TALK = "Front tyre tread depth is two point five millimetres. Rear brake pads are worn."


def say(step: str, stands: bool) -> None:
    print(step, flush=True)
    while stands:
        time.sleep(1)


class Said(Transcriber):
    def __init__(self, stands: bool) -> None:
        super().__init__("tiny.en")
        self._stands = stands

    def transcribe(
        self, sound: Sound, prompt: str | None = None, progress: Callable[..., None] | None = None
    ) -> Transcript:
        say("read", self._stands)
        return Transcript(recording=sound.recording, text=TALK, model="said")


def main(record: str, port: str, where: str) -> None:
    blocks, settle = parts._blocks, journal.settle

    def joined(path: Path) -> Iterator[bytes]:
        for number, block in enumerate(blocks(path)):
            yield block
            if number == 0 and path.stem == "1":
                say("join", where == "join")

    def settled(*arguments: Any) -> None:
        say("settle", where == "settle")
        settle(*arguments)

    parts._blocks, journal.settle = joined, settled
    transcriber = Transcriber("tiny.en") if where == "tiny" else Said(where == "read")
    app = create(Settings(record=Path(record), jurisdiction="GB", live=False), transcriber)
    uvicorn.run(app, host="127.0.0.1", port=int(port), log_level="error")


if __name__ == "__main__":
    main(*sys.argv[1:])
