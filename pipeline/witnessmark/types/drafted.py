"""What was read from one talk, before anyone has confirmed it."""

from __future__ import annotations

from typing import Literal

from witnessmark.types.base import ActionStatus, End, Frozen, Phase, Side, State


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
