"""The fleet letter as values: every text is final, the template only places it."""

from __future__ import annotations

from datetime import date
from typing import Literal, NamedTuple

from witnessmark.knowledge.prices import Between
from witnessmark.summarise.page import Summary, Text
from witnessmark.types import DueWork, Frozen, NextLook, Odometer


class Cost(NamedTuple):
    """What the work wanted on one machine may cost."""

    gross: Between
    """Tax included, of the lines with a price."""
    unpriced: int
    """Lines without one."""


class Standing(NamedTuple):
    """One machine at its last inspection."""

    name: str
    """Registration, or VIN where there is none."""
    seen: date
    odometer: Odometer | None
    urgency: str
    """As ``Summary.urgency``."""
    because: tuple[str, ...]
    """Findings that made it, gravest first."""
    little: bool
    """Whether more parts were not looked at than were."""
    counts: dict[str, int]
    """Grade → how many parts."""
    waiting: int
    look: NextLook
    due: tuple[DueWork, ...] = ()
    cost: Cost | None = None


def standing_of(
    page: Summary,
    *,
    name: str,
    seen: date,
    odometer: Odometer | None,
    waiting: int,
    look: NextLook,
    due: tuple[DueWork, ...] = (),
    cost: Cost | None = None,
) -> Standing:
    """What the letter needs of a machine's page; the page itself may be let go."""
    grades = [entry.grade for section in page.graded for entry in section.items if entry.grade]
    counts = {grade: grades.count(grade) for grade in ("dangerous", "major", "minor", "advisory")}
    return Standing(
        name, seen, odometer, page.urgency, page.because, page.little, counts, waiting, look, due, cost
    )


class FleetLine(Frozen):
    """One machine with a few lines on it."""

    machine: Text
    text: Text = ""
    lines: tuple[Text, ...] = ()


class FleetSection(Frozen):
    """One part of the letter; ``none`` is told when it has no lines."""

    id: Literal["stop", "due", "cost"]
    heading: Text
    holds: Text
    none: Text
    items: tuple[FleetLine, ...] = ()


class FleetRow(Frozen):
    """One machine in the table."""

    machine: Text
    seen: Text
    distance: Text
    standing: Text
    urgency: str
    next: Text
    cost: Text = ""


class FleetLetter(Frozen):
    """The whole letter."""

    language: str
    labels: dict[str, Text]
    title: Text
    heading: Text
    made: Text
    told: Text
    left_out: tuple[Text, ...] = ()
    sections: tuple[FleetSection, ...]
    rows: tuple[FleetRow, ...] = ()
    priced: bool = False
    cautions: tuple[Text, ...] = ()
