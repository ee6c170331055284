"""The line behind a forecast with its band, as points to draw."""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple

from witnessmark.forecast.line import Line, Point, error_of, fit
from witnessmark.forecast.series import distance, value
from witnessmark.knowledge.wear import WearRules
from witnessmark.types import Forecast


class Along(NamedTuple):
    """One place on the line: distance in the forecast's clock, and value in its unit with its bounds."""

    x: float
    value: float
    low: float
    high: float


def course(one: Forecast, rules: WearRules, steps: int = 12) -> tuple[Along, ...]:
    """The line from the last reading to where even the later bound is at the limit.

    The band holds the line in 95 of 100 cases, as far as the readings err; it meets the limit at the
    bounds of ``one.at``.

    Args:
        one: a forecast; one without an estimate has no line to draw.
        rules: those that it was made by.
        steps: how many stretches to divide it into.
    """
    wear = rules.of(one.component, one.quantity)
    if one.at is None or wear is None:
        return ()
    points = [Point(distance(past, one.clock), value(past, wear)) for past in one.readings]
    line = fit(points)
    error = error_of(line, wear.gauge, rules)
    start, end = points[-1].x, max(one.at.high, points[-1].x)
    return tuple(_along(line, error, start + (end - start) * step / steps) for step in range(steps + 1))


def _along(line: Line, error: float, x: float) -> Along:
    half = error * sqrt(1 / line.readings + (x - line.mean_x) ** 2 / line.spread)
    middle = line.mean_y + line.slope * (x - line.mean_x)
    return Along(x, middle, middle - half, middle + half)
