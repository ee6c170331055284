"""The frozen types that all stages speak.

Data flows one way and each arrow is one of these types::

    file ─ capture ─▶ Sound ─ transcribe ─▶ Transcript ─ extract ─▶ Draft
         ─ assess ─▶ Assessment ─ review ─▶ Decision, Confirmed ─ record ─▶ Walkround ─ summarise ─▶ page

Times are seconds from the start of the decoded recording; character positions count into
``Transcript.text`` and are half-open. Ids (component, condition, quantity, ...) are those of
``models/trade``; ``witnessmark.knowledge`` checks them when it loads.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

End = Literal["front", "rear"]
Side = Literal["left", "right"]
Phase = Literal["found", "left"]
State = Literal["present", "absent", "unsure", "unseen"]
ActionStatus = Literal["done", "wanted"]

SAMPLE_RATE = 16_000
"""Samples a second of all decoded sound."""


class Frozen(BaseModel):
    """Base of all types here: immutable, and unknown keys are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid")


# ── capture ──────────────────────────────────────────────────────────────────────────────────


class Recording(Frozen):
    """One sound file, named by its content."""

    sha256: str
    """Hash of the file's bytes: the same recording twice has the same hash."""
    name: str
    """File name as it was given, without its folder."""
    duration: float
    """Seconds of decoded sound."""


@dataclass(frozen=True)
class Sound:
    """A recording with its decoded samples."""

    recording: Recording
    samples: NDArray[np.float32]
    """Mono, SAMPLE_RATE a second, between -1 and 1; shape (n,)."""


# ── transcribe ───────────────────────────────────────────────────────────────────────────────


class Word(Frozen):
    """One printed word with its place in the text and in the sound."""

    text: str
    char_start: int
    char_end: int
    start: float
    end: float
    probability: float
    """0 to 1: the recogniser's own; for a number what its lead over those that sound like it allows."""
    first_printed: str | None = None
    """What the recogniser printed before a word of the trade that fits the sound better took its place."""


class Transcript(Frozen):
    """What a recogniser printed for a recording. ``text[w.char_start:w.char_end] == w.text``."""

    recording: Recording
    text: str
    words: tuple[Word, ...] = ()
    model: str
    """Name of the speech model that printed it."""
    speech_seconds: float = 0.0
    """Seconds in which the voice detector heard speech."""


# ── extract ──────────────────────────────────────────────────────────────────────────────────


class Evidence(Frozen):
    """A stretch of the talk. Seconds are None when there was only text."""

    text: str
    char_start: int
    char_end: int
    start: float | None = None
    end: float | None = None


class Doubt(Frozen):
    """A reason for a person to look again."""

    kind: str
    """Short id, such as ``unit_assumed``, ``low_probability``, ``corrected_in_speech``."""
    message: str
    """One plain sentence for the reviewer."""


class Limit(Frozen):
    """A limit or specification in the unit of its reading; at least one field is set."""

    low: float | None = None
    high: float | None = None
    target: float | None = None


class Item(Frozen):
    """What findings, readings and actions have in common."""

    key: str = ""
    """Unique within its draft, the same each time the same talk is read."""
    component: str
    end: End | None = None
    side: Side | None = None
    evidence: tuple[Evidence, ...] = ()
    confidence: float = 1.0
    """0 to 1: how far the reading of the words is to be trusted."""
    doubts: tuple[Doubt, ...] = ()
    """Most important first."""
    why: tuple[str, ...] = ()
    """The lexicon rows and rules that fired."""
    said_first: str | None = None
    """What the speaker said before correcting himself."""

    @property
    def place(self) -> tuple[str, End | None, Side | None]:
        """Component, end, side."""
        return self.component, self.end, self.side


class Finding(Item):
    """An observation: a condition of a component, or that it could not be seen."""

    condition: str | None
    """None only when ``state`` is ``unseen``."""
    state: State


class Reading(Item):
    """A measured or read-off value. ``value`` is text for codes, dates and markings."""

    quantity: str
    value: float | str
    unit: str | None = None
    limit: Limit | None = None
    """A limit said with the reading."""
    phase: Phase = "found"


class Action(Item):
    """A piece of work, done in the walkround or wanted."""

    kind: str
    status: ActionStatus


class Odometer(Frozen):
    """Distance on the clock, as said."""

    value: float
    unit: Literal["mi", "km"]


class Machine(Frozen):
    """What the talk says of the machine's identity; None is "not said"."""

    registration: str | None = None
    vin: str | None = None
    odometer: Odometer | None = None
    evidence: tuple[Evidence, ...] = ()
    doubts: tuple[Doubt, ...] = ()


class Draft(Frozen):
    """Everything read from one talk, before anyone has confirmed it."""

    id: str
    jurisdiction: str | None = None
    text: str
    machine: Machine = Machine()
    findings: tuple[Finding | Reading, ...] = ()
    actions: tuple[Action, ...] = ()

    @property
    def items(self) -> tuple[Item, ...]:
        """Findings, readings and actions in the order of the talk."""
        return (*self.findings, *self.actions)


# ── assess ───────────────────────────────────────────────────────────────────────────────────


class Grade(StrEnum):
    """How grave an item is, gravest first.

    minor, major and dangerous are the classes of Directive 2014/45/EU article 7(2); advisory is common
    practice; ``ungraded`` says that no rule applies, which is not the same as sound.
    """

    DANGEROUS = "dangerous"
    MAJOR = "major"
    MINOR = "minor"
    ADVISORY = "advisory"
    NOT_SEEN = "not_seen"
    UNGRADED = "ungraded"
    SOUND = "sound"


class Basis(StrEnum):
    """Where the limit or rule behind a grade comes from, in order of precedence."""

    SAID = "said by the technician"
    MACHINE_CARD = "machine card"
    LAW = "law"
    COMMON_PRACTICE = "common practice"
    NONE = "no rule"


class Verdict(Frozen):
    """The grade of one item and the rule that gave it."""

    item: str
    """Key of the item."""
    grade: Grade
    basis: Basis
    rule: str | None = None
    """Id of the row in ``models/`` that gave it."""
    source: str | None = None
    sureness: Literal["read", "read second-hand", "memory", "computed", "said", "none"] = "none"
    """How sure the source is."""
    limit: Limit | None = None
    """The limit used, in ``unit``."""
    unit: str | None = None
    message: str = ""
    """One plain sentence: the judgement and its margin."""


class Together(Frozen):
    """Several defects of one group, which together may be classed more gravely than each alone."""

    group: str
    """Of the vocabulary, such as ``brakes``."""
    grade: Grade
    """Of each of them."""
    raised: Grade
    """What they may be classed as together; a person decides whether their combined effect calls for it."""
    items: tuple[str, ...]
    """Keys of the items."""
    rule: str
    source: str
    sureness: Literal["read", "read second-hand", "memory", "computed", "said", "none"] = "none"
    message: str


class Assessment(Frozen):
    """A draft with its verdicts (at least one for each finding and reading) and what was never mentioned."""

    draft: Draft
    verdicts: tuple[Verdict, ...] = ()
    together: tuple[Together, ...] = ()
    never_mentioned: tuple[str, ...] = ()
    """Component ids that a walkround should touch and this one did not, gravest first."""

    def verdicts_of(self, key: str) -> tuple[Verdict, ...]:
        """All verdicts on one item, the deciding one first."""
        return tuple(v for v in self.verdicts if v.item == key)


# ── review ───────────────────────────────────────────────────────────────────────────────────


class DecisionKind(StrEnum):
    """What a reviewer can do with an item."""

    CONFIRM = "confirm"
    CORRECT = "correct"
    REJECT = "reject"
    ADD = "add"
    POSTPONE = "postpone"


AnyItem = Annotated[Finding | Reading | Action, Field(union_mode="smart")]


class Decision(Frozen):
    """One entry of the trail: who decided what about which item, when and why."""

    walkround: str
    item: str
    """Key of the drafted item, of the new item for ``add``, or ``machine`` for the machine's identity."""
    kind: DecisionKind
    who: str
    when: datetime
    why: str = ""
    """Required for a rejection."""
    becomes: AnyItem | Machine | None = None
    """The item as the reviewer wants it: for ``correct`` and ``add``."""


class Confirmed(Frozen):
    """An item that may enter the record, with the decision that let it in."""

    item: AnyItem | Machine
    drafted: AnyItem | Machine | None = None
    """What the draft said; None when the reviewer added the item."""
    decision: Decision


class Rejected(Frozen):
    """A drafted item that a reviewer refused."""

    drafted: AnyItem | Machine
    decision: Decision


# ── record ───────────────────────────────────────────────────────────────────────────────────


class Walkround(Frozen):
    """One inspection as the store keeps it."""

    id: str
    """``w-`` and the first twelve digits of the recording's hash."""
    on: date
    """Day of the inspection."""
    transcript: Transcript
    assessment: Assessment
    decisions: tuple[Decision, ...] = ()
    """The trail so far, oldest first."""

    @property
    def draft(self) -> Draft:
        """The draft under review."""
        return self.assessment.draft


class Outcome(Frozen):
    """What a walkround's decisions come to. Only ``confirmed`` may reach the record or the owner."""

    walkround: Walkround
    machine: Machine | None = None
    """The machine's identity once a reviewer confirmed, corrected or added it."""
    confirmed: tuple[Confirmed, ...] = ()
    """In the order of the talk, added ones last; without the machine's identity."""
    rejected: tuple[Rejected, ...] = ()
    waiting: tuple[str, ...] = ()
    """Keys not decided yet or postponed, in review order; ``machine`` among them."""

    @property
    def complete(self) -> bool:
        """Whether every drafted item has been decided."""
        return not self.waiting


class PastReading(Frozen):
    """One confirmed reading of a machine's history."""

    walkround: str
    on: date
    odometer: Odometer | None = None
    reading: Reading
    verdict: Verdict | None = None


# ── forecast ─────────────────────────────────────────────────────────────────────────────────


class PastAction(Frozen):
    """One piece of confirmed work of a machine's history."""

    walkround: str
    on: date
    odometer: Odometer | None = None
    action: Action


class Span(Frozen):
    """An estimate with the bounds that hold it in 95 of 100 cases, as far as the readings err."""

    value: float
    low: float
    high: float


class DaySpan(Frozen):
    """An estimated day with its bounds."""

    value: date
    low: date
    high: date


class Forecast(Frozen):
    """When one quantity of one part reaches its limit, or why that cannot be said.

    ``rate`` is in ``unit`` for 1000 of ``clock``, a positive number for wear; ``left`` and ``at`` are in
    ``clock``, from the last reading and on the odometer.
    """

    component: str
    end: End | None = None
    side: Side | None = None
    quantity: str
    unit: str
    state: Literal["estimate", "reached", "far", "none"]
    reason: str = ""
    """Why there is no estimate, or no date; one sentence."""
    readings: tuple[PastReading, ...] = ()
    """Those used, oldest first."""
    renewed: date | None = None
    """Day on which the part was last replaced, where the history shows it."""
    limit: float | None = None
    """In ``unit``."""
    verdict: Verdict | None = None
    """Where the limit comes from: its rule, source and how sure that is; its grade is that of a worn part."""
    clock: Literal["mi", "km"] = "km"
    rate: Span | None = None
    left: Span | None = None
    at: Span | None = None
    not_before: float | None = None
    """On the odometer: for ``far``, the earliest that can be said."""
    day: DaySpan | None = None


class DueWork(Frozen):
    """Work that the machine card wants at intervals, and how that stands by the record."""

    interval: str
    """Id of the card's row."""
    component: str
    work: str
    """Id of an action."""
    done: PastAction | None = None
    """When it was last confirmed as done; None where the record has no such work, which proves nothing."""
    at: float | None = None
    """On the odometer, in ``clock``."""
    clock: Literal["mi", "km"] = "km"
    on: date | None = None
    overdue: bool = False
    """Whether it was due by the last inspection."""


class NextLook(Frozen):
    """When a machine is to be inspected again: the earliest that one of its parts asks for."""

    now: bool = False
    """Whether a part is at its limit already, or may be, so that nothing should wait."""
    overdue: tuple[str, ...] = ()
    """Parts that were to be measured again before the last inspection, and were not."""
    at: float | None = None
    """On the odometer, in ``clock``."""
    clock: Literal["mi", "km"] = "km"
    on: date | None = None
    because: tuple[str, ...] = ()
    """What set it: ``brake_disc:front``, the id of an interval of the card, or ``usual``."""
