"""Names, dates, values and limits as people write them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction
from unicodedata import bidirectional

from witnessmark.knowledge.plain import PlainWords
from witnessmark.summarise.limits import about, limit_in
from witnessmark.types import Basis, End, Grade, Limit, Odometer, Reading, Side, Verdict
from witnessmark.units import text_of

Spot = tuple[End | None, Side | None]

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September",
          "October", "November", "December")  # fmt: skip
SPOTS: tuple[Spot, ...] = (
    (None, None), ("front", None), ("rear", None), (None, "left"), (None, "right"),
    ("front", "left"), ("front", "right"), ("rear", "left"), ("rear", "right"),
)  # fmt: skip
GRADES = tuple(Grade)
"""Gravest first."""


def written(day: date) -> str:
    """``3 March 2026``."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def and_list(parts: Sequence[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    return " and ".join((", ".join(parts[:-1]), parts[-1])) if len(parts) > 1 else "".join(parts)


def isolated(text: str) -> str:
    """Text with right-to-left letters fenced off, so that it cannot turn the words around it."""
    plain = re.sub("[\u202a-\u202e\u2066-\u2069]", "\ufffd", text)
    turns = any(bidirectional(char) in ("R", "AL", "AN") for char in plain)
    return f"\u2068{plain}\u2069" if turns else plain


def capital(text: str) -> str:
    """The text with its first letter raised; the rest as it is."""
    return text[:1].upper() + text[1:]


def unique(texts: Iterable[str]) -> tuple[str, ...]:
    """Non-empty texts in order, each once."""
    return tuple(dict.fromkeys(text for text in texts if text))


def name_of(words: PlainWords, component: str, spots: Iterable[Spot]) -> str:
    """``rear tyre``, ``front and rear tyres``, ``both front indicators``, ``all four indicators``."""
    part = words.part(component)
    here = sorted(set(spots), key=SPOTS.index)
    if len(here) == 1 or (None, None) in here:
        return and_list([_placed(spot, part.one) for spot in here])
    if len(here) == 4 and all(end and side for end, side in here):
        return f"all four {part.many}"
    return _together(here, part.one, part.many)


def _placed(spot: Spot, name: str) -> str:
    return " ".join([*(word for word in spot if word and not name.startswith(word)), name])


def _together(here: list[Spot], one: str, many: str) -> str:
    """The name of two or more places of one component."""
    ends, sides = {end for end, _ in here}, {side for _, side in here}
    if len(here) == 2 and sides == {"left", "right"} and len(ends) == 1:
        both = "both" if many != one else "left and right"
        return f"{both} {_placed((here[0][0], None), many)}"
    if len(here) == 2 and ends == {"front", "rear"} and len(sides) == 1:
        return f"front and rear {_placed((None, here[0][1]), many)}"
    return f"{and_list([' '.join(word for word in spot if word) for spot in here])} {many}"


def amount(value: float, unit: str | None) -> str:
    """``3.1 mm``; inches by the rule, ``1 3/8 in``, where they are whole 32nds."""
    parts = Fraction(round(value * 32), 32)
    if unit != "in" or not 0 < value < 1000 or abs(float(parts) - value) > 1e-9:
        return text_of(value, unit)
    whole, rest = divmod(parts, 1)
    return " ".join((*([str(whole)] if whole else []), *([str(rest)] if rest else []), "in"))


def value_text(value: float | str, unit: str | None) -> str:
    """``3.1 mm``, ``week 11 of 2021 (March 2021)``."""
    week = re.fullmatch(r"(\d{4})-W(\d{2})", value) if isinstance(value, str) else None
    if not week:
        return amount(value, unit) if isinstance(value, float) else isolated(text_of(value, unit))
    year, number = int(week[1]), int(week[2])
    try:
        month = MONTHS[date.fromisocalendar(year, number, 4).month - 1]
    except ValueError:
        return isolated(str(value))
    return f"week {number} of {year} ({month} {year})"


def reading_text(reading: Reading) -> str:
    """A reading's value with its unit."""
    return value_text(reading.value, reading.unit)


def distance_text(words: PlainWords, odometer: Odometer) -> str:
    """``17,930 miles``."""
    return f"{odometer.value:,.10g} {words.units.get(odometer.unit, odometer.unit)}"


def limit_text(limit: Limit, unit: str | None) -> str:
    """``at least 1 mm``, ``25 to 35 mm``, ``36 psi``."""
    low, high, target = (
        None if x is None else amount(x, unit) for x in (limit.low, limit.high, limit.target)
    )
    span = ""
    if low and high:
        span = f"{low.removesuffix(f' {unit}')} to {high}"
    elif low or high:
        span = f"at least {low}" if low else f"at most {high}"
    return ", ".join(unique((target or "", span)))


def limit_beside(limit: Limit, unit: str | None, wanted: str | None) -> str:
    """A limit in the unit it was laid down in, and about what that is in the unit of the reading."""
    text, turned = limit_text(limit, unit), limit_in(limit, unit, wanted)
    if unit == wanted or turned is None:
        return text
    rounded = re.sub("^at (least|most) ", "", limit_text(about(turned), wanted))
    return f"{text}, about {rounded}"


def rule_text(words: PlainWords, verdict: Verdict) -> str:
    """Whose rule gave a grade, its source and how sure that is; nothing where there is no rule."""
    if verdict.basis is Basis.NONE:
        return ""
    text = ": ".join(unique((words.bases[verdict.basis].name, source_text(words, verdict))))
    sure = words.sureness[verdict.sureness]
    return f"{text} ({sure})" if sure else text


def source_text(words: PlainWords, verdict: Verdict) -> str:
    """A verdict's source, without repeating whose rule it is: ``common practice, no source``."""
    source, name = isolated(verdict.source or ""), words.bases[verdict.basis].name
    return source[len(name) :].lstrip(" ,:") if source.lower().startswith(name.lower()) else source
