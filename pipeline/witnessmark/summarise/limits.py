"""On which side of its limit a reading lies. Grades are never made here, only worded."""

from __future__ import annotations

from math import isclose
from typing import Literal

from witnessmark.types import Limit, Reading, Verdict
from witnessmark.units import convert

Standing = Literal["below", "above", "at", "within", "no_limit"]


def into(value: float, unit: str | None, wanted: str | None) -> float | None:
    """A value in another unit, or None when the two measure different things."""
    if unit == wanted:
        return value
    try:
        return convert(value, unit, wanted) if unit and wanted else None
    except ValueError:
        return None


def limit_in(limit: Limit, unit: str | None, wanted: str | None) -> Limit | None:
    """A limit in the reading's unit; None when it cannot be expressed in it."""
    sides = {name: value for name, value in limit if value is not None}
    turned = {name: into(value, unit, wanted) for name, value in sides.items()}
    if not turned or None in turned.values():
        return None
    return Limit(**turned)


def about(limit: Limit) -> Limit:
    """A converted limit to three figures, for a person to read."""
    return Limit(**{name: float(f"{value:.3g}") for name, value in limit if value is not None})


def limit_of(reading: Reading, verdict: Verdict | None) -> Limit | None:
    """The limit a reading was held against, in the reading's unit."""
    if verdict is None or verdict.limit is None or isinstance(reading.value, str):
        return None
    return limit_in(verdict.limit, verdict.unit or reading.unit, reading.unit)


def standing(value: float, limit: Limit | None) -> Standing:
    """Where a value lies: ``at`` is within a millionth of a bound, as converted units may be."""
    if limit is None:
        return "no_limit"
    low, high = limit.low, limit.high
    if low is None and high is None:
        low = high = limit.target
    if low is None and high is None:
        return "no_limit"
    if any(bound is not None and isclose(value, bound, rel_tol=1e-6) for bound in (low, high)):
        return "at"
    if low is not None and value < low:
        return "below"
    return "above" if high is not None and value > high else "within"


def standing_of(reading: Reading, verdict: Verdict | None) -> Standing:
    """Where a reading lies against the limit of its verdict."""
    if isinstance(reading.value, str):
        return "no_limit"
    return standing(reading.value, limit_of(reading, verdict))
