"""Which unit stands by a number: after it, after a hyphen, after "of a" or before "and a half"."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from witnessmark.extract.lookup import Mention
from witnessmark.extract.numbers import Number
from witnessmark.extract.talk import Measure, Talk
from witnessmark.knowledge.files import read_yaml
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.units import convert

_ONE = frozenset(("a", "an"))
_PER = frozenset(("per", "a", "an", "/"))
_CARRIES = 12
"""Tokens over which the unit of a figure holds for a limit after it."""
_ENDS = frozenset(("", ".", ",", ";", ")", "\n", "..."))
_PLACED = word_set("placed_units")
_TIMES = word_set("rate_times")


class UnitWords:
    """The unit words of one talk."""

    def __init__(self, talk: Talk) -> None:
        self.talk = talk
        self.mentions = {m.start: m for m in talk.of("unit") if not self._is_quote(m)}

    def of(self, number: Number) -> Mention | None:
        """The unit that follows a number: "two mil", "a 3-inch", "six hundredths of a millimetre"."""
        at = number.end
        unit = self.mentions.get(at) or self._hyphened(number) or self._of_fraction(number)
        if unit is None:
            return _inch(at) if self._is_short_inch(number) else None
        letter = unit.end - unit.start == 1 and len(self.talk.at(unit.start)) == 1
        return None if letter and in_code(self.talk, number.start, unit.end) else unit

    def before_half(self, number: Number) -> Mention | None:
        """The unit of "a mil and a half" and "inch and a half", seen from the half."""
        if self.talk.at(number.start - 1) != "and":
            return None
        unit = next(iter(self.talk.ending(self.talk.of("unit"), number.start - 1)), None)
        if unit is None or unit.start not in self.mentions or self.talk.ending(self.talk.numbers, unit.start):
            return None
        alone = self.talk.at(unit.start - 1) in _ONE or unit.id in ("mm", "in")
        return unit if alone else None

    def is_rate(self, unit: Mention) -> bool:
        """ "ninety miles an hour", "50 km/h": not so many miles."""
        return self.talk.at(unit.end) in _PER and self.talk.at(unit.end + 1) in _TIMES

    def _hyphened(self, number: Number) -> Mention | None:
        unit = self.mentions.get(number.end + 1) if self.talk.at(number.end) == "-" else None
        return unit if unit and len(self.talk.at(unit.start)) > 1 else None

    def _of_fraction(self, number: Number) -> Mention | None:
        """ "six hundredths of a millimetre", "point eight of a millimetre"."""
        at = number.end
        share = number.fraction is not None or 0 < number.value < 1
        if share and self.talk.at(at) == "of":
            at += 1
        while share and self.talk.at(at) in _ONE:
            at += 1
        return self.mentions.get(at) if at > number.end else None

    def _is_short_inch(self, number: Number) -> bool:
        """ "0.035 in.": nothing follows that could be in something."""
        at, talk = number.end, self.talk
        exact = number.decimal or number.fraction is not None
        printed = number.end - number.start == 1 and talk.at(number.start).isdigit()
        if talk.at(at) != "in" or not (exact or printed):
            return False
        after = talk.at(at + 1)
        if after in _ENDS or (after == "of" and talk.starting(talk.of("quantity"), at + 2)):
            return exact or after != "."
        small = exact and (number.value < 1 or talk.jurisdiction == "US")
        return small and (after in _PLACED or bool(talk.starting(talk.of("quantity"), at + 1)))

    def _is_quote(self, unit: Mention) -> bool:
        """The mark of inches ends a quotation where one was begun."""
        return self.talk.at(unit.start) == '"' and self.talk.norms[: unit.start].count('"') % 2 == 1


def _inch(at: int) -> Mention:
    return Mention(at, at + 1, tuple(r for r in lexicon().rows if r.family == "unit" and r.id == "in"))


def in_code(talk: Talk, start: int, end: int) -> bool:
    """Whether letters touch a number or digits touch its unit: "XY173C", "24703L202"."""
    before = talk.doc[start - 1] if start > 0 else None
    letters = before is not None and not before.whitespace_ and talk.at(start - 1).isalpha()
    return letters or (not talk.doc[end - 1].whitespace_ and talk.at(end).isdigit())


def is_negative(talk: Talk, number: Number) -> bool:
    """ "-5 °C": a hyphen that touches the number and nothing before it."""
    at = number.start - 1
    if at < 0 or talk.at(at) not in ("-", "−", "–") or talk.doc[at].whitespace_:
        return False
    return at == 0 or bool(talk.doc[at - 1].whitespace_)


def carried(talk: Talk, measure: Measure) -> None:
    """ "35 milliamps, limit 5": a bare figure in the unit of the one before, where findings write another."""
    if measure.unit is not None:
        return
    before = talk.between(talk.measures, measure.start - _CARRIES, measure.start)
    unit = next(iter(talk.ending(talk.of("unit"), before[-1].end)), None) if before else None
    if unit and unit.id in _restated():
        measure.value, measure.unit = restated(measure.value, unit.id)
        measure.high = restated(measure.high, unit.id)[0] if measure.high is not None else None
        measure.number = replace(measure.number, value=measure.value, parts=(measure.value,))


def restated(value: float, unit: str) -> tuple[float, str]:
    """Value and unit in one that findings write: centimetres become millimetres."""
    into = _restated().get(unit)
    return (round(convert(value, unit, into), 9), into) if into else (value, unit)


@cache
def _restated() -> dict[str, str]:
    return dict(read_yaml("trade/quantities.yaml")["restated"])
