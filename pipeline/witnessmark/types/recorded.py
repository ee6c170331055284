"""What the store keeps, and what a walkround comes to."""

from __future__ import annotations

from datetime import date

from witnessmark.types.base import Frozen
from witnessmark.types.decided import Confirmed, Decision, Rejected
from witnessmark.types.drafted import Action, Draft, Machine, Odometer, Reading
from witnessmark.types.heard import Transcript
from witnessmark.types.judged import Assessment, Verdict


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
    speaker: str = ""
    """Who inspected and spoke; empty where that is not recorded."""

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


class PastAction(Frozen):
    """One piece of confirmed work of a machine's history."""

    walkround: str
    on: date
    odometer: Odometer | None = None
    action: Action
