"""Listens to recordings while they come in. A convenience: whatever fails here, the recording is safe."""

from __future__ import annotations

import logging
import time
from pathlib import Path
from threading import Condition, Lock, Thread
from typing import IO, TYPE_CHECKING

from witnessmark.desk.walk.forms import Understood
from witnessmark.desk.walk.journal import Row
from witnessmark.desk.walk.media import kind_of
from witnessmark.desk.walk.parts import Parts
from witnessmark.desk.walk.turns import Turns
from witnessmark.desk.walk.understood import understand
from witnessmark.errors import WitnessmarkError

if TYPE_CHECKING:
    from witnessmark.transcribe import Transcriber
    from witnessmark.types import Transcript

_log = logging.getLogger(__name__)

IDLE = 900.0
"""Seconds without a chunk after which nobody is taken to speak any more."""
BEHIND = 10.0
"""Seconds after its end for which a recording is still listened to; then the whole of it is read anyway."""
AFTER = 3600.0
"""Seconds for which what was understood can be asked for after the end."""
_STEP = 0.2
"""Seconds of sound given to the ear at once."""


class Growing:
    """The bytes of a recording that is still coming, in order; reading waits for the next chunk.

    Args:
        parts: where its chunks are.
        walk: its id.
    """

    def __init__(self, parts: Parts, walk: str) -> None:
        self._parts, self._walk = parts, walk
        self._changed = Condition()
        self._here = 0  # chunks without a gap
        self._next = 0
        self._read = 0  # bytes
        self._file: IO[bytes] | None = None
        self.ended_at: float | None = None
        """By the monotonic clock."""
        self.given_up = False

    def grow(self, chunks: int) -> None:
        """Say how many chunks are here without a gap."""
        with self._changed:
            self._here = max(self._here, chunks)
            self._changed.notify_all()

    @property
    def has_more(self) -> bool:
        """Whether a chunk has come that nobody has begun to read."""
        return self._here > self._next

    def end(self, give_up: bool = False) -> None:
        """Say that no more will come, or that nobody cares for the rest."""
        with self._changed:
            self.ended_at = self.ended_at or time.monotonic()
            self.given_up = self.given_up or give_up
            self._changed.notify_all()

    def read(self, size: int) -> bytes:
        """At most so many of the next bytes; none at the end."""
        while not self.given_up:
            if self._file is None and not self._open():
                return b""
            assert self._file is not None
            if piece := self._file.read(size):
                self._read += len(piece)
                return piece
            self.close()
        return b""

    def close(self) -> None:
        """Close the chunk that is being read."""
        if self._file:
            self._file.close()
            self._file = None

    def _open(self) -> bool:
        """Open the next chunk once it is here; False where none comes any more."""
        with self._changed:
            come = self._changed.wait_for(
                lambda: self._here > self._next or self.ended_at is not None, timeout=IDLE
            )
        if not come or self.given_up or self._next >= self._here:
            return False
        try:
            self._file = self._parts.chunk(self._walk, self._next).open("rb")
            self._next += 1
        except FileNotFoundError:  # they are joined
            return self._open_whole()
        return True

    def _open_whole(self) -> bool:
        whole = self._parts.whole(self._walk)
        try:
            self._file = (whole or Path()).open("rb")
        except OSError:  # read already, or dropped
            return False
        self._file.seek(self._read)
        self._next = self._here
        return True


class Ear:
    """Listens to one recording."""

    def __init__(self, row: Row, parts: Parts, transcriber: Transcriber, turns: Turns) -> None:
        self.row, self.file = row, Growing(parts, row.id)
        self._transcriber, self._turns = transcriber, turns
        self.understood: Understood | None = None
        self._thread = Thread(target=self._run, name="listening", daemon=True)
        self._thread.start()

    @property
    def awake(self) -> bool:
        """Whether it still listens."""
        return self._thread.is_alive()

    def join(self, seconds: float) -> None:
        """Wait for it to be done."""
        self._thread.join(seconds)

    def _run(self) -> None:
        try:
            self._listen()
        except WitnessmarkError as error:
            _log.warning("%s cannot be listened to while it comes: %s", self.row.id, error)
            self.understood = None
        except Exception:
            _log.exception("%s cannot be listened to while it comes", self.row.id)
            self.understood = None
        finally:
            self.file.close()
            self.file.end()

    def _listen(self) -> None:
        from witnessmark.capture import growing
        from witnessmark.transcribe import Live

        demuxer = kind_of(self.row.media_type, self.row.name).demuxer
        if demuxer is None:
            return
        live = Live(self._transcriber, self.row.name)
        with self._turns.live():  # all that takes long the first time, before anybody waits for it
            self._transcriber.load()
            self._understand(live.transcript())
        for piece in growing(self.file, demuxer, _STEP):
            with self._turns.live():
                if self._is_late():
                    return
                if transcript := live.feed(piece, behind=self.file.has_more):
                    self._understand(transcript)
        if not self._is_late():
            with self._turns.live():
                self._understand(live.finish())

    def _is_late(self) -> bool:
        ended = self.file.ended_at
        return self.file.given_up or (ended is not None and time.monotonic() - ended > BEHIND)

    def _understand(self, transcript: Transcript) -> None:
        row = self.row
        self.understood = understand(transcript, row.day, row.jurisdiction, row.machine)


class Listening:
    """Listens to several recordings at once.

    Args:
        parts: where their chunks are.
        transcriber: the speech model.
        turns: of that model.
        most: recordings at once; any beyond are not listened to.
    """

    def __init__(self, parts: Parts, transcriber: Transcriber, turns: Turns, most: int) -> None:
        self._parts, self._transcriber, self._turns, self._most = parts, transcriber, turns, most
        self._ears: dict[str, Ear] = {}
        self._lock = Lock()

    def came(self, row: Row, chunks: int) -> None:
        """Listen on, or begin to.

        Args:
            row: of the recording.
            chunks: how many are here without a gap.
        """
        if not chunks:
            return
        with self._lock:
            self._forget_old()
            ear = self._ears.get(row.id)
            if ear is None and sum(ear.awake for ear in self._ears.values()) < self._most:
                ear = self._ears[row.id] = Ear(row, self._parts, self._transcriber, self._turns)
        if ear:
            ear.file.grow(chunks)

    def over(self, walk: str, give_up: bool = False) -> None:
        """No more comes of a recording; with ``give_up`` nobody asks for it any more either."""
        with self._lock:
            ear = self._ears.pop(walk, None) if give_up else self._ears.get(walk)
        if ear:
            ear.file.end(give_up)

    def understood(self, walk: str) -> Understood | None:
        """What has been understood so far, where it is listened to."""
        ear = self._ears.get(walk)
        return ear.understood if ear else None

    def stop(self, seconds: float) -> None:
        """End all listening."""
        with self._lock:
            ears, self._ears = list(self._ears.values()), {}
        for ear in ears:
            ear.file.end(give_up=True)
        until = time.monotonic() + seconds
        for ear in ears:
            ear.join(max(0.0, until - time.monotonic()))

    def _forget_old(self) -> None:
        now = time.monotonic()
        for walk, ear in list(self._ears.items()):
            ended = ear.file.ended_at
            if ended is not None and now - ended > AFTER:
                del self._ears[walk]
