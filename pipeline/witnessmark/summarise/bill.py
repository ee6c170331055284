"""The estimate of work as values: every text is final, the template only places it."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from witnessmark.summarise.page import Text
from witnessmark.types import Answer, Frozen


class Earlier(NamedTuple):
    """An answer of an earlier visit, and whether the work was done since."""

    answer: Answer
    done: date | None = None


class BillLine(Frozen):
    """One piece of work."""

    number: int
    key: str
    part: Text
    work: Text
    grade: str = ""
    label: Text = ""
    found: tuple[Text, ...] = ()
    labour: Text = ""
    parts: tuple[Text, ...] = ()
    cost: Text
    """Before tax, or that it is not known."""
    known: bool = True
    answer: Text = ""


class BillGroup(Frozen):
    """Lines of one urgency."""

    heading: Text
    lines: tuple[BillLine, ...]


class Sum(Frozen):
    """One line of the totals."""

    name: Text
    text: Text
    total: bool = False


class EarlierLine(Frozen):
    """An answer of an earlier visit in words."""

    name: Text
    said: Text
    since: Text


class Estimate(Frozen):
    """The whole estimate, what matters most first."""

    language: str
    labels: dict[str, Text]
    title: Text
    machine: Text
    distance: Text
    inspected: Text
    made: Text = ""
    notice: tuple[Text, ...] = ()
    groups: tuple[BillGroup, ...] = ()
    sums: tuple[Sum, ...] = ()
    unknown: Text = ""
    earlier: tuple[EarlierLine, ...] = ()
    cautions: tuple[Text, ...] = ()

    @property
    def lines(self) -> tuple[BillLine, ...]:
        """All lines in order."""
        return tuple(line for group in self.groups for line in group.lines)
