"""The job sheet as values: every text is final, the template only places it."""

from __future__ import annotations

from witnessmark.summarise.bill import EarlierLine
from witnessmark.summarise.page import Text
from witnessmark.types import Frozen


class FigureLine(Frozen):
    """A figure or marking of the machine card."""

    name: Text
    text: Text
    """The figure, or that the handbook has it."""
    note: Text = ""
    known: bool = True


class MeasureLine(Frozen):
    """What is to be measured afterwards; the bench writes the figure in."""

    name: Text
    limit: Text
    was: Text = ""
    """As found, where that was confirmed."""


class BenchJob(Frozen):
    """All work on one part."""

    number: int
    part: Text
    work: tuple[Text, ...]
    grade: str = ""
    label: Text = ""
    found: tuple[Text, ...] = ()
    note: Text = ""
    answers: tuple[Text, ...] = ()
    """What the owner said to each work; where he was asked at all, also that he was not asked for it."""
    needs: tuple[Text, ...] = ()
    figures: tuple[FigureLine, ...] = ()
    measure: tuple[MeasureLine, ...] = ()
    after: tuple[Text, ...] = ()


class BenchPlace(Frozen):
    """The jobs at one place of the machine."""

    name: Text
    jobs: tuple[BenchJob, ...]


class JobSheet(Frozen):
    """The whole sheet, places in walking order."""

    language: str
    labels: dict[str, Text]
    title: Text
    machine: Text
    distance: Text
    inspected: Text
    stop: Text = ""
    """That the machine must not be ridden."""
    notice: tuple[Text, ...] = ()
    no_card: Text = ""
    places: tuple[BenchPlace, ...] = ()
    later: tuple[Text, ...] = ()
    earlier: tuple[EarlierLine, ...] = ()
    """What the owner said at earlier visits."""
    cautions: tuple[Text, ...] = ()
