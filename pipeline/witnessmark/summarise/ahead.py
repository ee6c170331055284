"""When parts may reach their limits, and when to look again, in words for the owner."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil, floor
from typing import NamedTuple

from witnessmark.knowledge.plain import PlainWords
from witnessmark.knowledge.wear import WearRules
from witnessmark.summarise.limits import into
from witnessmark.summarise.page import Ahead, Section
from witnessmark.summarise.words import (
    amount,
    and_list,
    capital,
    limit_text,
    month,
    name_of,
    number,
    unique,
    written,
)
from witnessmark.types import DueWork, Forecast, Grade, NextLook, Span


class Outlook(NamedTuple):
    """What the readings of all visits say of the time to come."""

    forecasts: tuple[Forecast, ...]
    """Soonest first."""
    look: NextLook
    rules: WearRules
    """For their words."""
    due: tuple[DueWork, ...] = ()
    """Work that the machine card wants at intervals."""


def ahead(words: PlainWords, outlook: Outlook | None) -> Section[Ahead]:
    """One entry for each part with an estimate, and for each whose readings bear none; soonest first.

    A part with a single reading says nothing here: there is nothing to tell yet.
    """
    if outlook is None:
        return Section(id="ahead", heading="", holds="")
    told = [one for one in outlook.forecasts if one.state != "none" or len(one.readings) > 1]
    says = _says(words, outlook.rules)
    items = tuple(_entry(words, one, outlook.rules) for one in told)
    return Section(id="ahead", heading=says["heading"], holds=says["holds"], items=items)


def _says(words: PlainWords, rules: WearRules) -> dict[str, str]:
    return {**rules.words, **words.paper.ahead}


def _reason(words: PlainWords, one: Forecast, rules: WearRules) -> str:
    """Why there is no estimate, or no date."""
    row = {**rules.reasons, **words.paper.reasons}.get(one.why)
    if row is None or not one.readings:
        return row or one.reason
    first, last = one.readings[0], one.readings[-1]
    return row.format(
        distance=distance(words, _ridden(one) or 0, one.clock),
        first=written(words, first.on),
        last=written(words, last.on),
    )


def _entry(words: PlainWords, one: Forecast, rules: WearRules) -> Ahead:
    quantity = words.quantities[one.quantity].name if one.quantity in words.quantities else one.quantity
    return Ahead(
        part=capital(name_of(words, one.component, [(one.end, one.side)])),
        quantity=capital(quantity),
        state=one.state,
        lines=tuple(_lines(words, one, rules)),
    )


def _lines(words: PlainWords, one: Forecast, rules: WearRules) -> Iterator[str]:
    says = _says(words, rules)
    limit = _limit(words, one)
    if one.state == "none":
        yield says["none"].format(reason=_reason(words, one, rules))
    elif one.state == "reached":
        advised = one.verdict is not None and one.verdict.grade is Grade.ADVISORY
        yield says["reached_advice" if advised else "reached"].format(limit=limit)
    elif one.state == "far" and one.not_before is not None:
        early = distance(words, floor_to(one.not_before), one.clock)
        yield says["far"].format(limit=limit, odometer=early)
    elif one.at is not None:
        yield from _estimate(words, one, one.at, rules)
    if one.rate is not None:
        yield says["rate"].format(
            rate=amount(words, float(f"{one.rate.value:.2g}"), one.unit),
            clock=words.units.get(one.clock, one.clock),
            count=len(one.readings),
            since=written(words, one.readings[0].on),
        )


def _estimate(words: PlainWords, one: Forecast, at: Span, rules: WearRules) -> Iterator[str]:
    says, limit = _says(words, rules), _limit(words, one)
    where, low, high = (
        distance(words, way, one.clock) for way in (round_to(at.value), floor_to(at.low), ceil_to(at.high))
    )
    if one.day is None:
        yield says["at_no_day"].format(limit=limit, odometer=where)
        yield _reason(words, one, rules)
    else:
        yield says["at"].format(limit=limit, odometer=where, day=month(words, one.day.value))
        low, high = f"{low} ({month(words, one.day.low)})", f"{high} ({month(words, one.day.high)})"
    now = one.left is not None and one.left.low <= 0
    yield says["any_time" if now else "between"].format(low=low, high=high)
    if one.day is not None and (yearly := _yearly(one)):
        yield says["yearly"].format(distance=distance(words, round_to(yearly), one.clock))


def _yearly(one: Forecast) -> float | None:
    """Distance a year between the first reading used and the last, in the clock's unit."""
    days = (one.readings[-1].on - one.readings[0].on).days
    ridden = _ridden(one)
    return None if ridden is None or days <= 0 else ridden / days * 365.25


def _ridden(one: Forecast) -> float | None:
    """Distance between the first reading used and the last, in the clock's unit."""
    first, last = one.readings[0].odometer, one.readings[-1].odometer
    begin = into(first.value, first.unit, one.clock) if first else None
    end = into(last.value, last.unit, one.clock) if last else None
    return None if begin is None or end is None else end - begin


def _limit(words: PlainWords, one: Forecast) -> str:
    """``the legal limit, at least 1 mm``."""
    if one.verdict is None or one.verdict.limit is None:
        return ""
    whose = words.bases[one.verdict.basis].limit
    return f"{whose}, {limit_text(words, one.verdict.limit, one.verdict.unit)}"


def look_again(words: PlainWords, outlook: Outlook | None, *, first: bool = False) -> tuple[str, ...]:
    """When to have the machine looked at again, and what sets it.

    Args:
        words: the plain words.
        outlook: forecasts, if any.
        first: whether something has to be put right or looked at before.
    """
    if outlook is None or outlook.look.on is None:
        return ()
    look, day, says = outlook.look, outlook.look.on, _says(words, outlook.rules)
    lines = [says["look_now"]] if look.now else []
    if late := unique(_part(words, who) for who in look.overdue):
        lines.append(says["overdue"].format(parts=_the(words, late)))
    key = f"{'look_then' if look.now or first else 'look'}{'_no_odometer' if look.at is None else ''}"
    odometer = distance(words, floor_to(look.at or 0), look.clock)
    lines.append(says[key].format(day=written(words, day), odometer=odometer))
    if parts := unique(_part(words, who) for who in look.because):
        lines.append(says["because"].format(parts=_the(words, parts)))
    return tuple(lines)


def _part(words: PlainWords, who: str) -> str:
    """``front brake disc``; nothing for what is no part."""
    component, _, place = who.partition(":")
    if component not in words.components:
        return ""
    name = words.part(component).one
    spots = " ".join(words.paper.spots[word] for word in place.split())
    return words.paper.names["placed"].format(place=spots, part=name) if spots else name


def _the(words: PlainWords, parts: Iterable[str]) -> str:
    return and_list(words, [words.paper.names["the"].format(part=part) for part in parts])


def distance(words: PlainWords, value: float, clock: str) -> str:
    """``20,900 miles``."""
    return f"{number(words, f'{value:.0f}')} {words.units.get(clock, clock)}"


def _step(value: float) -> int:
    return 100 if value >= 1000 else 10


def round_to(value: float) -> int:
    """To whole hundreds, tens below 1000."""
    return round(value / _step(value)) * _step(value)


def floor_to(value: float) -> int:
    """Down to whole hundreds, tens below 1000: an early bound is never told late."""
    return floor(value / _step(value)) * _step(value)


def ceil_to(value: float) -> int:
    """Up to whole hundreds, tens below 1000."""
    return ceil(value / _step(value)) * _step(value)
