"""Forecasts and work due in the short words of the workshop, for tables on a terminal and on pages."""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.summarise.ahead import ceil_to, floor_to, round_to
from witnessmark.types import Basis, DueWork, Forecast, Grade, Limit
from witnessmark.units import text_of


def part_of(one: Forecast) -> str:
    """``front brake disc: thickness``."""
    words = vocabulary()
    name = " ".join(filter(None, (one.end, one.side, words.components[one.component].name)))
    return f"{name}: {words.quantities[one.quantity][1]}"


def readings_of(one: Forecast) -> str:
    """The readings behind it: ``new on 2026-05-21: 5.2 mm``."""
    told = [text_of(r.reading.value, r.reading.unit) for r in one.readings]
    since = f"new on {one.renewed}: " if one.renewed else ""
    return f"{since}{', '.join(told) or 'none'}"


def rate_of(one: Forecast) -> str:
    """``0.41 mm per 1,000 mi (0.39 to 0.43)``; nothing where there is none."""
    if one.rate is None:
        return ""
    value, low, high = (f"{number:.2g}" for number in (one.rate.value, one.rate.low, one.rate.high))
    return f"{value} {one.unit} per 1,000 {one.clock} ({low} to {high})"


def limit_of(one: Forecast) -> Iterator[str]:
    """The limit, whose it is, and where that comes from; a line each."""
    if one.verdict is None or one.verdict.limit is None:
        return
    yield f"{bounds(one.verdict.limit, one.verdict.unit)}, {one.verdict.basis}"
    if one.verdict.source and one.verdict.basis is not Basis.SAID:
        yield f"{one.verdict.source} ({one.verdict.sureness})"


def bounds(limit: Limit, unit: str | None) -> str:
    """``at least 1.6 mm, at most 3 mm``."""
    parts = [("at least", limit.low), ("at most", limit.high), ("", limit.target)]
    return ", ".join(f"{word} {text_of(bound, unit)}".strip() for word, bound in parts if bound is not None)


def at_limit(one: Forecast) -> Iterator[str]:
    """When the limit is reached, or why that cannot be said; a line each."""
    if one.state == "reached":
        advised = one.verdict is not None and one.verdict.grade is Grade.ADVISORY
        yield "advice reached; plan it" if advised else "reached; do not wait"
    if one.state == "far" and one.not_before is not None:
        yield f"not before {floor_to(one.not_before):,} {one.clock}"
    if one.at is not None:
        span = f"{floor_to(one.at.low):,} to {ceil_to(one.at.high):,}"
        yield f"about {round_to(one.at.value):,} {one.clock} ({span})"
    if one.day is not None:
        yield f"about {one.day.value:%Y-%m} ({one.day.low:%Y-%m} to {one.day.high:%Y-%m})"
    if one.reason:
        yield one.reason


def work_of(one: DueWork) -> str:
    """``drive chain: lubricate``."""
    words = vocabulary()
    return f"{words.components[one.component].name}: {words.actions[one.work]}"


def done_of(one: DueWork) -> str:
    """When it was last confirmed as done."""
    if one.done is None:
        return "not in this record"
    clock = one.done.odometer
    return f"{one.done.on}{f' at {text_of(clock.value, clock.unit)}' if clock else ''}"


def due_of(one: DueWork) -> str:
    """When it is due."""
    if one.done is None:
        return "not known; ask when it was last done"
    way = f"at {round_to(one.at):,} {one.clock}" if one.at is not None else ""
    told = " or ".join(filter(None, (way, f"on {one.on}" if one.on else "")))
    return f"{told}{', overdue' if one.overdue else ''}" or "the distance then was not confirmed"
