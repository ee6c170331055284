"""A small drawn axis: a reading, its limit, the reading before work and the one of last time."""

from __future__ import annotations

from typing import NamedTuple

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.page import Anchor, Band, Mark, Scale
from witnessmark.summarise.words import amount
from witnessmark.types import Limit

WIDTH = 240.0
"""Length of the axis in the drawing's own units."""
EDGE = 34.0
"""Nearer to an end of the axis than this, a label grows inwards."""
APART = 60.0
"""Two labels nearer than this would touch."""


class Readings(NamedTuple):
    """Values of one quantity at one place, all in one unit."""

    now: float
    before: float | None = None
    """As found, where work changed it."""
    past: float | None = None
    """At the last inspection."""


class Axis(NamedTuple):
    """The stretch of values that is drawn."""

    start: float
    end: float

    def place(self, value: float) -> float:
        """Distance from the left end, 0 to WIDTH."""
        return round((value - self.start) / (self.end - self.start) * WIDTH, 1)


def scale_of(words: PlainWords, values: Readings, limit: Limit, unit: str | None, says: str) -> Scale:
    """The drawing; ``says`` is what it shows in words."""
    bounds = [bound for bound in (limit.low, limit.high, limit.target) if bound is not None]
    axis = _axis([value for value in values if value is not None] + bounds)
    marks = (*_limit_marks(words, axis, limit, unit), *_value_marks(words, axis, values, unit))
    return Scale(says=says, bands=_bands(axis, limit), marks=marks)


def _axis(values: list[float]) -> Axis:
    """From nought where the values reach well towards it, else a window around them."""
    least, most = min(values), max(values)
    room = max((most - least) * 0.45, abs(most) * 0.02) or 1.0
    start = 0.0 if 0 <= least < 0.6 * most else least - room
    return Axis(start, most + max(room, 0.12 * (most - start)))


def _bands(axis: Axis, limit: Limit) -> tuple[Band, ...]:
    bands = []
    if limit.low is not None and axis.place(limit.low) > 0:
        bands.append(Band(x=0, width=axis.place(limit.low)))
    if limit.high is not None:
        x = axis.place(limit.high)
        bands.append(Band(x=x, width=round(WIDTH - x, 1)))
    return tuple(bands)


def _limit_marks(words: PlainWords, axis: Axis, limit: Limit, unit: str | None) -> list[Mark]:
    """Bounds with their labels; a target is labelled only where it is alone."""
    low, high, target = limit.low, limit.high, limit.target
    close = low is not None and high is not None and axis.place(high) - axis.place(low) < APART
    marks = []
    if low is not None:
        anchor: Anchor = "end" if close else _anchor(axis.place(low))
        marks.append(Mark(x=axis.place(low), label=amount(words, low, unit), anchor=anchor, kind="limit"))
    if high is not None:
        anchor = "start" if close else _anchor(axis.place(high))
        marks.append(Mark(x=axis.place(high), label=amount(words, high, unit), anchor=anchor, kind="limit"))
    if target is not None:
        x, label = axis.place(target), "" if marks else amount(words, target, unit)
        marks.append(Mark(x=x, label=label, anchor=_anchor(x), kind="target"))
    return marks


def _value_marks(words: PlainWords, axis: Axis, values: Readings, unit: str | None) -> list[Mark]:
    """Last time without a label, before work with one where there is room, now always with one."""
    now, marks = axis.place(values.now), []
    if values.past is not None:
        marks.append(Mark(x=axis.place(values.past), kind="past"))
    if values.before is not None:
        x = axis.place(values.before)
        label = amount(words, values.before, unit) if abs(x - now) >= APART else ""
        marks.append(Mark(x=x, label=label, anchor=_anchor(x), kind="before"))
    return [*marks, Mark(x=now, label=amount(words, values.now, unit), anchor=_anchor(now), kind="now")]


def _anchor(x: float) -> Anchor:
    if x < EDGE:
        return "start"
    return "end" if x > WIDTH - EDGE else "middle"
