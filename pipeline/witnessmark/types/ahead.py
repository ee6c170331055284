"""When parts reach their limits, and when to look again."""

from __future__ import annotations

from datetime import date
from typing import Literal

from witnessmark.types.base import End, Frozen, Side
from witnessmark.types.judged import Verdict
from witnessmark.types.recorded import PastAction, PastReading


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
    """Why there is no estimate, or no date; one sentence in English."""
    why: str = ""
    """Id of that reason in ``models/wear.yaml``, for papers in other languages."""
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
