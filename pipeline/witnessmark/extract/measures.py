"""Numbers with their units, and the limits said about them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

from witnessmark.extract.lookup import Mention
from witnessmark.extract.numberruns import MOVES, regrouped
from witnessmark.extract.numbers import Number
from witnessmark.extract.talk import Measure, Talk
from witnessmark.extract.unitwords import UnitWords, is_negative, restated
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.units import convert

_SPLIT_FIRST = frozenset(["tread_depth", "thickness", "voltage", "gap", "runout"])
"""Quantities of which "one one" is 1.1 and "twelve four" 12.4."""

_WHOLE = frozenset(["slack", "length", "sag", "free_play", "torque", "idle_speed"])
"""Quantities that nobody reads to hundredths."""
_APART = 3
"""Words between the figures of "from 28 up to 36 psi"."""
_ONWARD = frozenset(("to", "until", "till"))
_SHARES = word_set("shares")
"""Before "an inch" they are a share of it."""

FAMILIES = {
    "mm": "mm", "in": "mm", "thou": "mm", "kPa": "pressure", "psi": "pressure", "bar": "pressure",
    "kgf/cm2": "pressure", "V": "volt", "A": "current", "Nm": "torque", "lbf*ft": "torque",
    "lbf*in": "torque",
    "kgf*m": "torque", "km": "distance", "mi": "distance", "L": "volume", "mL": "volume", "s": "time",
    "min": "time", "rpm": "rpm", "1/min": "rate", "%": "percent", "degC": "temperature",
    "degF": "temperature",
}  # fmt: skip
"""Unit → what kind of thing it measures."""

KIND_OF = {
    "tread_depth": "mm", "thickness": "mm", "slack": "mm", "free_play": "mm", "runout": "mm", "sag": "mm",
    "gap": "mm", "length": "mm", "pressure": "pressure", "voltage": "volt", "current": "current",
    "temperature": "temperature", "torque": "torque", "remaining": "percent", "water_content": "percent",
    "elongation": "percent", "idle_speed": "rpm", "flash_rate": "rate", "volume": "volume",
    "duration": "time",
}  # fmt: skip
"""Quantity → what kind of thing it is, for quantities that are figures."""


def find_measures(talk: Talk) -> list[Measure]:
    """Every number as a measure, with its unit where one follows it."""
    units = UnitWords(talk)
    found: list[Measure] = []
    numbers = regrouped(talk, units)
    talk.numbers = numbers
    at = 0
    while at < len(numbers):
        number = numbers[at]
        if talk.at(number.start) in ("oh", "o") and number.end - number.start == 1:
            at += 1  # "oh no": zero only among other digits
            continue
        unit = units.of(number)
        measure = Measure(number.start, number.end, number, number.value, None, number.high)
        if unit:
            measure.unit, measure.end = unit.id, unit.end
            at = _and_a_half(talk, measure, numbers, at)
            measure.role = "used" if units.is_rate(unit) else "value"
            _settle(talk, measure)
        elif number.fraction and number.value < 1 and (unit := units.before_half(number)):
            article = talk.at(unit.start - 1) in ("a", "an")
            measure.unit, measure.start, measure.value = unit.id, unit.start - article, 1 + number.value
        elif number.fraction in (8, 16, 32, 64):
            measure.unit = "in"
        if found and _continues_range(talk, found[-1], measure):
            found[-1].high, found[-1].end = measure.value, measure.end
        else:
            found.append(measure)
        at += 1
    taken = {i for m in found for i in range(m.start, m.end)}
    found = _from_lone_units(talk, in_order([*found, *_lone_units(talk, units.mentions, taken)]))
    _units_ahead(talk, found)
    return found


def _units_ahead(talk: Talk, measures: list[Measure]) -> None:
    """ "from 1.8 until 2.5 bar", "185 and 187 thou": the second figure's unit is that of the first."""
    for one, two in pairwise(measures):
        if one.unit is not None or two.unit is None or two.start - one.end > _APART:
            continue
        between = talk.norms[one.end : two.start]
        moved = talk.at(one.start - 1) == "from" and bool(_ONWARD & set(between))
        paired = (
            between == ["and"] and not one.number.fraction and one.value / 3 <= two.value <= one.value * 3
        )
        if moved or (paired and one.value > 0):
            one.unit = two.unit


def _settle(talk: Talk, measure: Measure) -> None:
    """The sign of a temperature, and the unit that findings write."""
    assert measure.unit is not None
    if FAMILIES.get(measure.unit) == "temperature" and is_negative(talk, measure.number):
        measure.value, measure.start = -measure.value, measure.start - 1
    value, unit = restated(measure.value, measure.unit)
    if unit != measure.unit:
        measure.number = replace(measure.number, value=value, parts=(value,))
        measure.high = restated(measure.high, measure.unit)[0] if measure.high is not None else None
        measure.value, measure.unit = value, unit


def _and_a_half(talk: Talk, measure: Measure, numbers: list[Number], at: int) -> int:
    """ "two mil and a half": the half belongs to the number before the unit."""
    following = numbers[at + 1] if at + 1 < len(numbers) else None
    joined = following and talk.at(measure.end) == "and" and following.start == measure.end + 1
    if following and joined and following.fraction in (2, 4) and following.value < 1:
        measure.value += following.value
        measure.end = following.end
        return at + 1
    return at


def _lone_units(talk: Talk, units: dict[int, Mention], taken: set[int]) -> list[Measure]:
    """ "an inch", "a mil", "a couple of mil": one or two of a unit of length."""
    out = []
    for unit in units.values():
        counted = _lone_count(talk, unit) if unit.id in ("mm", "in") and unit.start not in taken else None
        if counted and not _halved(talk, unit):
            start, value = counted
            number = Number(start, unit.end, value, (value,), f"{value:.0f}", ends=(unit.end,))
            out.append(Measure(start, unit.end, number, value, unit.id))
    return out


def _halved(talk: Talk, unit: Mention) -> bool:
    """ "an inch and a half": no inch by itself."""
    more = talk.number_at(unit.end + 1) if talk.at(unit.end) == "and" else None
    return more is not None and more.fraction is not None


def _lone_count(talk: Talk, unit: Mention) -> tuple[int, float] | None:
    """First token and number of a unit without a figure."""
    before = [talk.at(i) for i in range(unit.start - 3, unit.start)]
    if before[1:] == ["couple", "of"] or before[2:] == ["couple"]:
        start = unit.start - (2 if before[2] == "of" else 1)
        return start - (talk.at(start - 1) == "a"), 2.0
    if before[2] in ("a", "an") and before[1] not in _SHARES:
        return unit.start - 1, 1.0
    return None


def _from_lone_units(talk: Talk, measures: list[Measure]) -> list[Measure]:
    """ "an inch to an inch and a quarter" is one range."""
    out: list[Measure] = []
    for measure in measures:
        if out and _continues_range(talk, out[-1], measure):
            out[-1].high, out[-1].end = measure.value, measure.end
        else:
            out.append(measure)
    return out


def _continues_range(talk: Talk, low: Measure, high: Measure) -> bool:
    """ "fifteen mil to twenty mil"."""
    if (
        low.high is None
        and len(low.number.parts) == 2
        and talk.at(low.end) == "to"
        and high.start == low.end + 1
    ):
        head, tail = low.number.parts
        if tail < 10 and low.value > high.value > head:
            low.value = head + tail / 10
            return True
    if talk.at(low.start - 1) == "from" and talk.near_before(low.start - 1, MOVES, 7):
        return False  # "took the rear from 28 to 36": two figures
    same = low.unit and high.unit and FAMILIES[low.unit] == FAMILIES[high.unit]
    bare_high = (
        low.unit is not None
        and high.unit is None
        and talk.at(low.start - 1) != "from"
        and high.value < 20 * low.value
        and (not talk.at(high.end).isalpha() or high.number.fraction is not None)
    )
    share = low.unit is None and high.unit == "in" and low.number.fraction is not None
    if share and low.high is None and talk.at(low.end) == "to" and high.start == low.end + 1:
        low.unit = high.unit if low.value < high.value else None  # "three quarters to an inch"
        return low.value < high.value
    return bool(
        (same or bare_high)  # "one inch to one and a half"
        and low.high is None
        and talk.at(low.end) == "to"
        and high.start == low.end + 1
        and low.value < high.value
    )


def value_for(measure: Measure, quantity: str, unit: str | None) -> float:
    """The figure as the quantity makes it: "two five" is 2.5 mm of tread and 25 psi of pressure."""
    number = measure.number
    if len(number.parts) < 2:
        return measure.value
    joined = measure.value
    candidates = [joined]
    head, tail = number.parts[0], number.digits[len(str(int(number.parts[0]))) :]
    if tail.isdigit():
        split = float(f"{int(head)}.{tail}")
        first = quantity in _SPLIT_FIRST and len(tail) == 1 and head < 20 and plausible(quantity, split, unit)
        if first or len(tail) == 1 or quantity not in _WHOLE:
            candidates.insert(0 if first else 1, split)
    if quantity == "odometer" and len(number.parts) == 2:
        return _grouped_distance(number.parts)
    fitting = [c for c in candidates if plausible(quantity, c, unit)]
    return (fitting or candidates)[0]


def _grouped_distance(parts: tuple[float, ...]) -> float:
    """ "fourteen two" on the clock is 14,200; "twenty-three four fifty" is not grouped by two."""
    head, tail = parts
    if tail < 10:
        return head * 1000 + tail * 100
    return head * 1000 + tail * 10 if tail < 100 else head * 1000 + tail


def plausible(quantity: str, value: float, unit: str | None) -> bool:
    """Whether a value is one that a technician could have read."""
    bounds = lexicon().plausible.get(quantity)
    if not bounds:
        return True
    canonical = vocabulary().quantities[quantity][0]
    if unit and canonical and unit != canonical:
        try:
            value = convert(value, unit, canonical)
        except ValueError:
            return False
    return bounds[0] <= value <= bounds[1]


def in_order(measures: Iterable[Measure]) -> list[Measure]:
    """Measures by their place in the talk."""
    return sorted(measures, key=lambda m: m.start)
