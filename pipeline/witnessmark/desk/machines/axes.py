"""Where the figures of an axis stand: round numbers, or the first days of months. Pure functions.

Round numbers are those of P. S. Heckbert, "Nice numbers for graph labels", in A. S. Glassner (ed.),
Graphics Gems, Academic Press 1990, pages 61 to 63.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import ceil, floor, log10
from typing import NamedTuple

MONTHS = (1, 3, 6, 12, 24, 60, 120, 240, 600, 1200)
"""Steps of a time axis."""
_NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


class Tick(NamedTuple):
    """A figure at an axis."""

    value: float
    label: str


class Axis(NamedTuple):
    """A stretch of values laid on a stretch of the drawing; ``near`` may lie beyond ``far``."""

    start: float
    end: float
    near: float
    far: float

    def place(self, value: float) -> float:
        """Where the value stands in the drawing, to a tenth; held within it."""
        return self.run(min(max(value, self.start), self.end))

    def run(self, value: float) -> float:
        """As ``place``, and beyond the drawing for a value that lies beyond: for lines that are cut off."""
        share = (value - self.start) / (self.end - self.start)
        return round(self.near + share * (self.far - self.near), 1)


def nice(value: float, *, up: bool) -> float:
    """A round number near a positive one, or the next not below it: 1, 2 or 5 times a power of ten."""
    power = 10.0 ** floor(log10(value))
    share = value / power
    bounds = ((1, 1), (2, 2), (5, 5)) if up else ((1.5, 1), (3, 2), (7, 5))
    for bound, round_ in bounds:
        if share <= bound if up else share < bound:
            return round_ * power
    return 10 * power


def ticks(low: float, high: float, wanted: int = 5) -> tuple[float, ...]:
    """Round numbers, evenly apart, the first not above ``low`` and the last not below ``high``."""
    if high <= low:
        room = abs(low) / 10 or 1.0
        low, high = low - room, high + room
    step = nice(nice(high - low, up=True) / (wanted - 1), up=False)
    first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
    places = max(-floor(log10(step)), 0)
    return tuple(round(count * step, places) + 0.0 for count in range(first, last + 1))


def written(values: Sequence[float]) -> tuple[Tick, ...]:
    """Ticks with their figures, all with as many decimals as their step needs."""
    step = values[1] - values[0] if len(values) > 1 else values[0] or 1.0
    places = max(-floor(log10(abs(step)) + 1e-9), 0)
    return tuple(Tick(value, f"{value:,.{places}f}") for value in values)


def day_ticks(first: date, last: date, wanted: int = 5) -> tuple[Tick, ...]:
    """First days of months or years between two days, evenly apart; their values are day numbers."""
    months = (last.year - first.year) * 12 + last.month - first.month
    step = next((step for step in MONTHS if months / step < wanted), MONTHS[-1])
    begin = first.year * 12 + first.month - 1
    found = []
    for count in range(-(-begin // step) * step, last.year * 12 + last.month, step):
        day = date(count // 12, count % 12 + 1, 1)
        if first <= day <= last:
            name = str(day.year) if step >= 12 else f"{_NAMES[day.month - 1]} {day.year}"
            found.append(Tick(float(day.toordinal()), name))
    return tuple(found)
