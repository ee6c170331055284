"""Names, dates, values and limits as people write them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from unicodedata import bidirectional

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.limits import about, limit_in
from witnessmark.types import Basis, End, Grade, Limit, Odometer, Reading, Side, Verdict
from witnessmark.units import text_of

Spot = tuple[End | None, Side | None]

SPOTS: tuple[Spot, ...] = (
    (None, None), ("front", None), ("rear", None), (None, "left"), (None, "right"),
    ("front", "left"), ("front", "right"), ("rear", "left"), ("rear", "right"),
)  # fmt: skip
GRADES = tuple(Grade)
"""Gravest first."""


def written(words: PlainWords, day: date) -> str:
    """``3 March 2026``, as the country writes it."""
    from babel.dates import format_date  # slow: only when a page is made

    return format_date(day, "long", locale=words.locale)


def month(words: PlainWords, day: date) -> str:
    """``September 2026``: an estimate has no day."""
    from babel.dates import format_skeleton

    return str(format_skeleton("yMMMM", day, locale=words.locale))


def number(words: PlainWords, value: float | str) -> str:
    """``17,930``, ``2.5``: a plain decimal as the country writes it."""
    from babel.numbers import format_decimal

    return format_decimal(Decimal(str(value)), locale=words.locale, decimal_quantization=False)


def and_list(words: PlainWords, parts: Sequence[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    from babel.lists import format_list

    return format_list(parts, locale=words.locale) if len(parts) > 1 else "".join(parts)


def isolated(text: str) -> str:
    """Text with right-to-left letters fenced off, so that it cannot turn the words around it."""
    plain = re.sub("[\u202a-\u202e\u2066-\u2069]", "\ufffd", text)
    turns = any(bidirectional(char) in ("R", "AL", "AN") for char in plain)
    return f"\u2068{plain}\u2069" if turns else plain


def capital(text: str) -> str:
    """The text with its first letter raised; the rest as it is."""
    return text[:1].upper() + text[1:]


def lowered(words: PlainWords, text: str) -> str:
    """The text inside a sentence: it begins small, unless with a noun of a language that writes it large."""
    first, _, _ = text.partition(" ")
    small = first[:1].lower() + first[1:]
    noun = words.paper.capital_nouns and small.rstrip(",:;") not in words.small
    return text if noun else small + text[len(first) :]


def unique(texts: Iterable[str]) -> tuple[str, ...]:
    """Non-empty texts in order, each once."""
    return tuple(dict.fromkeys(text for text in texts if text))


def name_of(words: PlainWords, component: str, spots: Iterable[Spot]) -> str:
    """``rear tyre``, ``front and rear tyres``, ``both front indicators``, ``all four indicators``."""
    part = words.part(component)
    here = sorted(set(spots), key=SPOTS.index)
    if len(here) == 1 or (None, None) in here:
        return and_list(words, [_placed(words, spot, part.one) for spot in here])
    if len(here) == 4 and all(end and side for end, side in here):
        return words.paper.names["all_four"].format(parts=part.many)
    return _together(words, here, part.one, part.many)


def spot_text(words: PlainWords, spot: Spot) -> str:
    """``rear left``; nothing for nowhere in particular."""
    return " ".join(words.paper.spots[word] for word in spot if word)


def _placed(words: PlainWords, spot: Spot, name: str) -> str:
    """A place is not said twice: the front brake lever is at the front."""
    new = [word for word in spot if word and not name.startswith(words.paper.spots[word])]
    place = " ".join(words.paper.spots[word] for word in new)
    return words.paper.names["placed"].format(place=place, part=name) if place else name


def _together(words: PlainWords, here: list[Spot], one: str, many: str) -> str:
    """The name of two or more places of one component."""
    ends, sides = {end for end, _ in here}, {side for _, side in here}
    if len(here) == 2 and sides == {"left", "right"} and len(ends) == 1:
        both = "both" if many != one else "left_and_right"
        return _pair(words, both, here[0][0], many)
    if len(here) == 2 and ends == {"front", "rear"} and len(sides) == 1:
        return _pair(words, "front_and_rear", here[0][1], many)
    places = and_list(words, [spot_text(words, spot) for spot in here])
    return words.paper.names["several"].format(places=places, parts=many)


def _pair(words: PlainWords, key: str, place: str | None, many: str) -> str:
    """A pair, at one end or on one side where that is said."""
    if place is None:
        return words.paper.names[key].format(parts=many)
    return words.paper.names[f"{key}_placed"].format(parts=many, place=words.paper.spots[place])


MEASURABLE = 1e15
"""A figure beyond is nobody's measurement and stands as a computer writes it."""


def amount(words: PlainWords, value: float, unit: str | None) -> str:
    """``3.1 mm``; inches by the rule, ``1 3/8 in``, where they are whole 32nds."""
    parts = Fraction(round(value * 32), 32) if unit == "in" and 0 < value < 1000 else Fraction(0)
    if not parts or abs(float(parts) - value) > 1e-9:
        return _decimal(words, value, unit)
    whole, rest = divmod(parts, 1)
    return " ".join((*([str(whole)] if whole else []), *([str(rest)] if rest else []), "in"))


def _decimal(words: PlainWords, value: float, unit: str | None) -> str:
    """The value as a person writes it, its digits as the country writes them."""
    digits = f"{value:.4g}" if abs(value) < 1000 else f"{value:.0f}"
    shown = _unit_text(words, unit)
    if abs(value) >= MEASURABLE:
        return f"{value:.4g}{shown}"
    return percent(words, digits) if unit == "%" else f"{number(words, digits)}{shown}"


def _unit_text(words: PlainWords, unit: str | None) -> str:
    """The unit with the space before it, in words where it is no sign."""
    return f" {words.paper.values['a_minute']}" if unit == "1/min" else text_of(0.0, unit).removeprefix("0")


def percent(words: PlainWords, value: float | str) -> str:
    """``12%``, ``12 %``: as the language writes it."""
    from babel.numbers import format_percent

    return format_percent(Decimal(str(value)) / 100, locale=words.locale, decimal_quantization=False)


def value_text(words: PlainWords, value: float | str, unit: str | None) -> str:
    """``3.1 mm``, ``week 11 of 2021 (March 2021)``."""
    week = re.fullmatch(r"(\d{4})-W(\d{2})", value) if isinstance(value, str) else None
    if not week:
        return amount(words, value, unit) if not isinstance(value, str) else isolated(text_of(value, unit))
    year, count = int(week[1]), int(week[2])
    try:
        when = month(words, date.fromisocalendar(year, count, 4))
    except ValueError:
        return isolated(str(value))
    return words.paper.values["week"].format(week=count, year=year, month=when)


def reading_text(words: PlainWords, reading: Reading) -> str:
    """A reading's value with its unit."""
    return value_text(words, reading.value, reading.unit)


def distance_text(words: PlainWords, odometer: Odometer) -> str:
    """``17,930 miles``."""
    return f"{number(words, f'{odometer.value:.10g}')} {words.units.get(odometer.unit, odometer.unit)}"


def limit_text(words: PlainWords, limit: Limit, unit: str | None) -> str:
    """``at least 1 mm``, ``25 to 35 mm``, ``36 psi``."""
    values = words.paper.values
    return _bounds(words, limit, unit, values["at_least"], values["at_most"])


def _bounds(words: PlainWords, limit: Limit, unit: str | None, least: str, most: str) -> str:
    low, high, target = (
        None if x is None else amount(words, x, unit) for x in (limit.low, limit.high, limit.target)
    )
    span = ""
    if low and high:
        span = words.paper.values["span"].format(low=low.removesuffix(f" {unit}"), high=high)
    elif low or high:
        span = least.format(low=low) if low else most.format(high=high)
    return ", ".join(unique((target or "", span)))


def limit_beside(words: PlainWords, limit: Limit, unit: str | None, wanted: str | None) -> str:
    """A limit in the unit it was laid down in, and about what that is in the unit of the reading."""
    text, turned = limit_text(words, limit, unit), limit_in(limit, unit, wanted)
    if unit == wanted or turned is None:
        return text
    other = _bounds(words, about(turned), wanted, "{low}", "{high}")
    return words.paper.values["about"].format(text=text, other=other)


def rule_text(words: PlainWords, verdict: Verdict) -> str:
    """Whose rule gave a grade, its source and how sure that is; nothing where there is no rule."""
    if verdict.basis is Basis.NONE:
        return ""
    text = ": ".join(unique((words.bases[verdict.basis].name, source_text(words, verdict))))
    sure = words.sureness[verdict.sureness]
    return f"{text} ({sure})" if sure else text


def source_text(words: PlainWords, verdict: Verdict) -> str:
    """A verdict's source, without repeating whose rule it is: ``common practice, no source``."""
    known = verdict.source or ""
    source, name = isolated(words.paper.sources.get(known, known)), words.bases[verdict.basis].name
    return source[len(name) :].lstrip(" ,:") if source.lower().startswith(name.lower()) else source
