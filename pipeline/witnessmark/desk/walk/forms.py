"""What goes in and out of the API of recordings."""

from __future__ import annotations

from datetime import date, datetime
from enum import StrEnum
from typing import Annotated
from uuid import UUID

from fastapi import Path
from pydantic import AwareDatetime, Field, StringConstraints

from witnessmark.types import Frozen

MOST_CHUNKS = 20_000
"""Of one recording: five hours at a chunk a second."""
HASH = r"^[0-9a-f]{64}$"

Line = Annotated[str, StringConstraints(max_length=200, pattern=r"^[^\x00-\x1f\x7f]*$")]
"""One printable line."""
Number = Annotated[int, Path(ge=0, lt=MOST_CHUNKS)]
"""Of a chunk, from 0."""
Country = Annotated[str, StringConstraints(max_length=10, pattern=r"^[A-Za-z]{2}(-[A-Za-z0-9]{1,3})?$")]
Day = Annotated[date, Field(ge=date(2000, 1, 1))]
Hash = Annotated[str, StringConstraints(pattern=HASH)]
"""SHA-256 in hexadecimal."""


class State(StrEnum):
    """How far a recording has come."""

    COMING = "coming"
    WAITING = "waiting"
    READING = "reading"
    READ = "read"
    FAILED = "failed"
    DROPPED = "dropped"


class Start(Frozen):
    """A recording that begins."""

    machine: Line | None = None
    """Registration or VIN chosen before the talk; what is said in it counts more."""
    jurisdiction: Country | None = None
    """Country (and state) whose limits apply; the desk's own where None."""
    on: Day | None = None
    """Day of the inspection; the desk's present day where None."""
    media_type: Annotated[str, StringConstraints(max_length=100, pattern=r"^[\x20-\x7e]*$")]
    """As the recorder names it, such as ``audio/webm;codecs=opus``."""
    name: Line
    started_at: AwareDatetime
    """By the clock of the recorder."""
    sent_at: AwareDatetime | None = None
    """By the same clock, when this is sent: tells a clock that is wrong from a recording that is late."""
    whole_of: UUID | None = None
    """An earlier walk that was ended here before all of it had come; this one brings it whole."""


class Finish(Frozen):
    """A recording that is over."""

    chunks: Annotated[int, Field(ge=1, le=MOST_CHUNKS)]
    sha256: Hash | None = None
    """Of the whole, in hexadecimal."""


class Problem(Frozen):
    """Why something failed, and what to do."""

    what: str
    remedy: str | None = None


class Said(Frozen):
    """One finding, reading or piece of work."""

    says: str
    heard: str
    """The words of the talk."""
    doubts: tuple[str, ...] = ()


class Asked(Frozen):
    """Something doubtful that a person can settle by saying it again."""

    says: str
    doubt: str
    question: str
    """To be read aloud: ``Front tyre pressure: 22 psi?``"""


class Understood(Frozen):
    """What has been understood of a talk that is still going on. Not kept: the whole is read at the end."""

    seconds: float
    """Heard so far."""
    text: str
    """The last words."""
    last: tuple[Said, ...] = ()
    """Newest first."""
    doubts: tuple[Asked, ...] = ()
    """Newest first."""
    machine: str = ""
    """As said, else as chosen; empty where neither."""
    not_mentioned: tuple[str, ...] = ()
    """Names of parts, gravest first."""
    count: int = 0
    """Findings, readings and work in all."""


class Walk(Frozen):
    """A recording and how far it has come."""

    id: str
    state: State
    name: str
    who: str
    machine: str | None
    jurisdiction: str | None
    on: date
    """Day of the inspection, as it will be recorded."""
    started_at: datetime
    """By the clock of the recorder."""
    came_at: datetime
    """By the desk's clock, UTC: when it was told of the recording."""
    notes: tuple[str, ...] = ()
    """What a person should know of it, such as a wrong clock."""
    chunks: int
    """How many are here without a gap."""
    missing: tuple[int, ...] = ()
    """The first of the numbers that are not here and lie before one that is."""
    bytes: int
    last_at: datetime | None = None
    """While it comes, when its last chunk came; by the desk's clock, UTC."""
    progress: float
    """0 to 1, of the reading."""
    walkround: str | None = None
    """Its id in the record."""
    problem: Problem | None = None
    photos: tuple[str, ...] = ()
    """SHA-256 of each that has not gone to the record yet."""
    understood: Understood | None = None


class Picture(Frozen):
    """A photograph."""

    sha256: str
    at: float | None
    """Seconds from the start of the recording; None for the whole."""
    media_type: str
    bytes: int
