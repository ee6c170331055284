"""A straight line through readings, and the distances at which its band crosses a limit. Numbers only."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import NamedTuple

from witnessmark.knowledge.wear import WearRules
from witnessmark.types import Span


class Point(NamedTuple):
    """A reading: distance and value."""

    x: float
    y: float


class Line(NamedTuple):
    """A least-squares line ``y = mean_y + slope * (x - mean_x)`` and what its bounds need."""

    slope: float
    mean_x: float
    mean_y: float
    readings: int
    spread: float
    """Sum of the squared distances from ``mean_x``."""
    residuals: float
    """Sum of the squared differences of the readings from the line."""

    @property
    def freedom(self) -> int:
        """Degrees of freedom of the scatter."""
        return self.readings - 2


def fit(points: Sequence[Point]) -> Line:
    """The least-squares line through two points or more, not all at one distance."""
    count = len(points)
    mean_x = sum(p.x for p in points) / count
    mean_y = sum(p.y for p in points) / count
    spread = sum((p.x - mean_x) ** 2 for p in points)
    slope = sum((p.x - mean_x) * (p.y - mean_y) for p in points) / spread
    residuals = sum((p.y - mean_y - slope * (p.x - mean_x)) ** 2 for p in points)
    return Line(slope, mean_x, mean_y, count, spread, residuals)


def scatters(line: Line, gauge: float, rules: WearRules) -> bool:
    """Whether the readings lie further from the line than the gauge explains (chi-square, upper 5 %).

    Args:
        line: through the readings.
        gauge: how far one reading may be off in 95 of 100 cases.
        rules: for the quantiles.
    """
    if line.freedom < 1:
        return False
    return line.residuals / (gauge / rules.normal) ** 2 > rules.chi_square(line.freedom)


def error_of(line: Line, gauge: float, rules: WearRules) -> float:
    """How far one reading may be off in 95 of 100 cases: the gauge, or the scatter where that is more."""
    if not scatters(line, gauge, rules):
        return gauge
    return rules.student(line.freedom) * sqrt(line.residuals / line.freedom)


def slope_error(line: Line, error: float) -> float:
    """How far the slope may be off when each reading may be off by ``error``."""
    return error / sqrt(line.spread)


def crossing(line: Line, limit: float, error: float) -> Span | None:
    """Where the line meets the limit, and between which distances its band does (Fieller's interval).

    None where the slope is not told from its error: the band then never leaves the limit.
    """
    told = line.slope**2 - slope_error(line, error) ** 2
    if told <= 0:
        return None
    off = line.mean_y - limit
    half = line.slope * off
    root = sqrt(max(half**2 - told * (off**2 - error**2 / line.readings), 0.0))
    low, high = (-half - root) / told, (-half + root) / told
    return Span(value=line.mean_x - off / line.slope, low=line.mean_x + low, high=line.mean_x + high)
