"""Which confirmed readings of a machine's history can bear a forecast: of one part, since it was replaced."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date
from math import isfinite
from typing import Literal, NamedTuple

from witnessmark.forecast.line import Point
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.knowledge.wear import Wear, WearRules
from witnessmark.types import Action, End, PastAction, PastReading, Reading, Side
from witnessmark.units import convert

Clock = Literal["mi", "km"]


class Place(NamedTuple):
    """A quantity of a part at one place."""

    component: str
    end: End | None
    side: Side | None
    quantity: str


class Series(NamedTuple):
    """The readings of the part that is fitted now."""

    place: Place
    wear: Wear
    latest: PastReading
    """The last reading that is sure, with or without a distance."""
    readings: tuple[PastReading, ...]
    """Those with a distance, oldest first, one a visit."""
    renewed: date | None
    clock: Clock
    reason: str = ""
    """Key of the reason why they bear no forecast; empty when they may."""

    @property
    def points(self) -> tuple[Point, ...]:
        """Distance on the clock and value in the unit of ``wear``."""
        return tuple(Point(distance(one, self.clock), value(one, self.wear)) for one in self.readings)


def value(one: PastReading, wear: Wear) -> float:
    """The reading in the unit of its row."""
    return convert(float(one.reading.value), one.reading.unit or "", wear.unit)


def distance(one: PastReading, clock: Clock) -> float:
    """What the odometer showed; 0 where that was not confirmed."""
    return convert(one.odometer.value, one.odometer.unit, clock) if one.odometer else 0.0


def all_series(
    past: Iterable[PastReading], work: Sequence[PastAction], rules: WearRules
) -> tuple[Series, ...]:
    """One series for each worn part and place of which there is a reading.

    Args:
        past: confirmed readings of one machine.
        work: its confirmed work.
        rules: how parts wear.
    """
    places: dict[Place, list[PastReading]] = {}
    for one in past:
        reading = one.reading
        if _measures(one, rules):
            place = Place(reading.component, reading.end, reading.side, reading.quantity)
            places.setdefault(place, []).append(one)
    return tuple(_series(place, ones, work, rules) for place, ones in places.items())


def _measures(one: PastReading, rules: WearRules) -> bool:
    wear = rules.of(one.reading.component, one.reading.quantity)
    if wear is None or isinstance(one.reading.value, str):
        return False
    try:
        return isfinite(value(one, wear)) and isfinite(distance(one, "km"))
    except ValueError:
        return False


def _series(place: Place, ones: list[PastReading], work: Sequence[PastAction], rules: WearRules) -> Series:
    wear = rules.of(place.component, place.quantity)
    assert wear is not None  # _measures saw to it
    sure = [one for one in ones if not _unsure(one.reading, rules)]
    renewals = [done for done in work if _renews(done.action, place)]
    ordered = _worst(sure or ones, wear, {done.on for done in renewals})
    current, renewed = _since_new(ordered, renewals, wear)
    usable = tuple(one for one in _one_a_visit(current) if one.odometer)
    clock: Clock = usable[-1].odometer.unit if usable and usable[-1].odometer else "km"
    found = Series(place, wear, ordered[-1], usable, renewed, clock)
    return found._replace(reason=_reason(found, bool(sure), current, rules))


def _reason(found: Series, sure: bool, current: list[PastReading], rules: WearRules) -> str:
    if vocabulary().components[found.place.component].takes_end and found.place.end is None:
        return "no_end"
    if not sure:
        return "unsure"
    if not current:
        return "none_since_new"
    if not found.readings:
        return "no_distance"
    if len(found.readings) < rules.least.readings:
        return "one_since_new" if found.renewed else "one_reading"
    return ""


def _unsure(reading: Reading, rules: WearRules) -> bool:
    """Whether the technician doubted the figure, whatever a reviewer confirmed of the words."""
    if any(doubt.kind in rules.unsure for doubt in reading.doubts):
        return True
    said = " ".join(piece.text for piece in reading.evidence).lower().replace("’", "'")
    words = " ".join(re.findall(r"[a-z0-9']+", said))
    return any(f" {phrase} " in f" {words} " for phrase in rules.roughly)


def _renews(action: Action, place: Place) -> bool:
    """Whether work put a new part here; work that names no end or side may have."""
    here = action.end in (None, place.end) and action.side in (None, place.side)
    return (
        action.kind == "replace" and action.status == "done" and action.component == place.component and here
    )


def _moment(one: PastReading) -> tuple[date, float, float]:
    """When a reading was taken; on the day of the work, one found is before it and one left after it."""
    return one.on, 1.0 if one.reading.phase == "left" else 0.0, distance(one, "km")


def _worst(ones: Iterable[PastReading], wear: Wear, renewed: set[date]) -> list[PastReading]:
    """The most worn reading of each visit and phase, in order of time.

    Where the part was replaced on that day, readings better by a jump are of the new one, as if left.
    """
    groups: dict[tuple[object, ...], list[PastReading]] = {}
    for one in ones:
        groups.setdefault((one.on, one.walkround, one.reading.phase), []).append(one)
    worst: list[PastReading] = []
    for group in groups.values():
        old = min(group, key=lambda one: wear.better(value(one, wear), 0.0))
        new = [one for one in group if wear.better(value(one, wear), value(old, wear)) > wear.jump]
        worst.append(old)
        if new and old.on in renewed and old.reading.phase == "found":
            fitted = min(new, key=lambda one: wear.better(value(one, wear), 0.0))
            left = fitted.reading.model_copy(update={"phase": "left"})
            worst.append(fitted.model_copy(update={"reading": left}))
    return sorted(worst, key=_moment)


def _since_new(
    ordered: list[PastReading], renewals: list[PastAction], wear: Wear
) -> tuple[list[PastReading], date | None]:
    """The readings since the part was last replaced, by work or by a jump, and the day of that."""
    current: list[PastReading] = []
    renewed: date | None = None
    days = sorted(done.on for done in renewals)
    for before, one in zip([None, *ordered], ordered, strict=False):
        if before and wear.better(value(one, wear), value(before, wear)) > wear.jump:
            current, renewed = [], one.on
            days = [day for day in days if day != one.on]
        elif past := [day for day in days if (day, 0.5) < _moment(one)[:2]]:
            current, renewed = [], past[-1]
        days = [day for day in days if (day, 0.5) > _moment(one)[:2]]
        current.append(one)
    return ([], days[-1]) if days else (current, renewed)


def _one_a_visit(current: list[PastReading]) -> list[PastReading]:
    """The first of each visit: what was left is the same part as what was found, read twice."""
    return list({one.walkround: one for one in reversed(current)}.values())[::-1]
