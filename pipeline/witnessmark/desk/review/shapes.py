"""What the review pages and their programs are given: every sentence is final, the page only places it."""

from __future__ import annotations

from datetime import date, datetime
from typing import Literal

from witnessmark.types import AnyItem, DecisionKind, Evidence, Frozen, Grade, Limit, Machine

Standing = Literal["waiting", "postponed", "confirmed", "corrected", "added", "rejected"]
Sort = Literal["machine", "finding", "reading", "work"]


class WaitingRow(Frozen):
    """One walkround in the list."""

    id: str
    on: date
    registration: str | None
    """As confirmed, or else as drafted."""
    waiting: int
    """Items, the machine's identity among them."""
    dangerous: int
    """How many of these some rule grades dangerous."""
    doubtful: int
    """How many of these have a doubt."""


class WaitingList(Frozen):
    """Walkrounds that wait, the one that has waited longest first."""

    rows: tuple[WaitingRow, ...]
    more: int
    """How many are left out."""


class VerdictView(Frozen):
    """One verdict in words."""

    grade: Grade
    word: str
    """The grade as it is read: ``not seen``."""
    basis: str
    """Whose rule it is; empty where there is none."""
    limit: str
    source: str
    sure: str
    """How sure the source is, a few words."""
    message: str


class Change(Frozen):
    """One field before and after."""

    field: str
    before: str
    after: str


class TrailLine(Frozen):
    """One decision: who did what, when and why."""

    item: str
    who: str
    when: datetime
    kind: DecisionKind
    did: str
    """``confirmed``, ``put back``, …"""
    why: str
    says: str
    """The item as it read before."""
    grade: str = ""
    """The reviewer's own grade, where he gave one."""
    changes: tuple[Change, ...] = ()


class Printed(Frozen):
    """A word of which the recogniser was not sure, or that took another's place."""

    text: str
    char_start: int
    char_end: int
    probability: float
    first: str | None = None
    """What was first printed."""


class ItemView(Frozen):
    """One item with all that a reviewer needs to decide on it."""

    key: str
    sort: Sort
    part: str
    says: str
    """As it stands: drafted, or as the last decision put it."""
    drafted: str | None
    """As it was drafted; None for an added one."""
    entry: AnyItem | Machine
    """What ``says`` tells, field by field."""
    standing: Standing
    waiting: bool
    doubtful: bool
    seen: int
    """Decisions on it so far; comes back with the next one."""
    grade: Grade
    """The reviewer's own, or else the gravest of its verdicts."""
    word: str
    verdicts: tuple[VerdictView, ...]
    doubts: tuple[str, ...]
    said_first: str | None
    evidence: tuple[Evidence, ...]
    confidence: float | None
    trail: tuple[TrailLine, ...]


class Live(Frozen):
    """What changes while a walkround is reviewed."""

    count: int
    """Decisions on the whole walkround."""
    title: str
    """The machine, as far as it is known."""
    queue: tuple[str, ...]
    """Keys of what waits, in the order to look at them."""
    items: tuple[ItemView, ...]
    """In the order of the talk, added ones last."""
    never_mentioned: tuple[str, ...]
    together: tuple[str, ...]
    """Defects that together may be graver, a sentence each."""
    trail: tuple[TrailLine, ...]
    """The newest last."""


class PhotoView(Frozen):
    """A picture of the walkround."""

    sha256: str
    seconds: float | None
    who: str


class WalkroundView(Live):
    """The whole review page as values."""

    id: str
    on: date
    jurisdiction: str | None
    seconds: float
    sound: bool
    """Whether there is sound to play."""
    soundless: str
    """Why there is none; a sentence."""
    text: str
    printed: tuple[Printed, ...]
    photos: tuple[PhotoView, ...]


class Unchanged(Frozen):
    """Nobody decided anything meanwhile."""

    count: int


class Decided(Frozen):
    """What a decision came to."""

    item: ItemView
    queue: tuple[str, ...]
    count: int


class Regraded(Frozen):
    """Another item that would be judged otherwise."""

    key: str
    says: str
    before: str
    after: str


class Judged(Frozen):
    """What would be judged if the item read so. Nothing is kept."""

    says: str
    changes: tuple[Change, ...]
    verdicts: tuple[VerdictView, ...]
    others: tuple[Regraded, ...]


class Point(Frozen):
    """One earlier figure."""

    on: date
    distance: float | None
    """On the odometer, in ``Earlier.clock``."""
    value: float | None
    """In ``Earlier.unit``; None for text."""
    says: str
    walkround: str


class Told(Frozen):
    """Something else that is in the record of that part."""

    on: date
    says: str


class Earlier(Frozen):
    """What the record has of the same part of the same machine."""

    machine: str
    """Name under which it was looked up; empty where the machine is not known."""
    note: str
    """A sentence where there is nothing, or something to know first."""
    points: tuple[Point, ...] = ()
    """Oldest first."""
    others: tuple[Told, ...] = ()
    """The newest first."""
    unit: str | None = None
    clock: str = "km"
    now: float | None = None
    """The item's own value in ``unit``."""
    now_distance: float | None = None
    limit: Limit | None = None
    """Of the deciding verdict, in ``unit``."""


class Named(Frozen):
    """A choice: its id, its name, and what people say for it."""

    id: str
    name: str
    said: tuple[str, ...] = ()


class PartNamed(Named):
    """A part, and which places it takes."""

    takes_end: bool
    takes_side: bool


class QuantityNamed(Named):
    """A quantity; ``unit`` is the usual one, None for text."""

    unit: str | None
    units: tuple[str, ...]


class Words(Frozen):
    """Everything that may be chosen."""

    components: tuple[PartNamed, ...]
    conditions: tuple[Named, ...]
    quantities: tuple[QuantityNamed, ...]
    units: tuple[Named, ...]
    work: tuple[Named, ...]
    states: tuple[Named, ...]
    statuses: tuple[Named, ...]
    phases: tuple[Named, ...]
    grades: tuple[Named, ...]
    reasons: tuple[str, ...]
    """For a rejection; those used most first."""
