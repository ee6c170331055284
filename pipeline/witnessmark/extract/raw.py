"""Findings as first written down, before they are merged and given their evidence."""

from __future__ import annotations

from dataclasses import dataclass, field

from witnessmark.extract.talk import Target
from witnessmark.types import ActionStatus, Limit, Phase, State


@dataclass(slots=True)
class Raw:
    """One finding, reading or action; which one is told by the fields that are set."""

    target: Target
    start: int
    end: int
    clause: int
    condition: str | None = None
    state: State | None = None
    quantity: str | None = None
    value: float | str = 0.0
    unit: str | None = None
    limit: Limit | None = None
    phase: Phase = "found"
    action: str | None = None
    status: ActionStatus = "done"
    why: list[str] = field(default_factory=list)
    doubts: list[str] = field(default_factory=list)
    said_first: str | None = None
    denominator: int | None = None
    """Of a reading said as a fraction: "four thirty-seconds, sorry, three"."""
    bare: bool = False
    """Whether no unit was said with the reading."""
    word: tuple[int, int] | None = None
    """Tokens of the condition word itself."""
    words: str = ""
    """The condition word."""
    denied: str | None = None
    """What "not" makes of a word of approval."""
    flipped: bool = False
    """Whether its condition is what "not" made of a word of approval: "doesn't work"."""
    asked: bool = False
    """Whether it was only asked, or claimed by somebody else, and waits for an answer."""
    dropped: bool = False

    @property
    def is_observation(self) -> bool:
        """Whether it is a condition or "unseen"."""
        return self.state is not None
