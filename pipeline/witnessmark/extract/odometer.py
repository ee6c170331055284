"""The distance on the machine's clock."""

from __future__ import annotations

from typing import NamedTuple

from witnessmark.extract.clocks import (
    CLOCK,
    ODOMETER,
    SAID,
    STORY,
    beside_identity,
    is_live,
    names_part,
    of_a_part,
    of_a_story,
    of_another_meter,
)
from witnessmark.extract.measures import value_for
from witnessmark.extract.talk import Measure, Talk
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.identity import identity
from witnessmark.types import Doubt, Odometer

_MILES = ("GB", "US")
_DATED = word_set("dated")
_EARLY = 40
"""Tokens of the talk in which a number by itself is the distance."""
_ENDS = (".", "", "\n")


class Claim(NamedTuple):
    """A figure that may be the distance on the clock."""

    sureness: int
    measure: Measure
    value: float
    doubted: bool


def read_odometer(talk: Talk, doubts: list[Doubt]) -> Odometer | None:
    """The distance on the clock: of the figures that may be it the one most surely so, the first of equals.

    Its tokens are put into ``talk.taken``; a distance said in groups, or that nobody called the machine's,
    gets a doubt.
    """
    edges = _edges(talk)
    claims = [c for at in range(len(talk.measures)) if (c := _claim(talk, at, edges))]
    if not claims:
        return _bare_distance(talk)
    best = min(claims, key=lambda c: c.sureness)
    return _taken(talk, best, doubts)


def _claim(talk: Talk, at: int, edges: dict[int, int]) -> Claim | None:
    """What a figure claims; None where it is no distance on the machine's clock."""
    measure = talk.measures[at]
    if measure.role != "value" or measure.start in talk.taken or _is_date(talk, measure):
        return None
    if is_letter_k(talk, measure) or of_another_meter(talk, measure):
        return None
    called = min((edges[i] for i in (measure.start, measure.end) if i in edges), default=STORY)
    if measure.unit in ("km", "mi") and not _in_thousands(talk, measure):
        return _claim_with_unit(talk, at, called)
    return _claim_of_number(talk, measure, called)


def _claim_with_unit(talk: Talk, at: int, called: int) -> Claim | None:
    """ "14,230 miles": of a part or a story only where no clock is named."""
    measure = talk.measures[at]
    value = _with_unit(talk, at)
    if called > CLOCK and (of_a_part(talk, measure, (*_ENDS, ",")) or of_a_story(talk, measure)):
        return None
    if not value:
        return None
    early = measure.start < _EARLY and not names_part(talk, 0, measure.start)
    if called == STORY and (beside_identity(talk, measure) or early):
        called = SAID
    return Claim(called, measure, value, called == STORY)


def _claim_of_number(talk: Talk, measure: Measure, called: int) -> Claim | None:
    """ "the clock says 14,230": doubted where no odometer is named and the machine's identity is not near."""
    value = _announced_value(talk, measure, called)
    if not value or (called > ODOMETER and (is_live(talk, measure) or of_a_story(talk, measure))):
        return None
    if called == CLOCK and of_a_part(talk, measure, (*_ENDS, ",")):
        return None
    near = beside_identity(talk, measure) and not of_another_meter(talk, measure, _ENDS)
    return Claim(called, measure, value, called > ODOMETER and not near)


def is_letter_k(talk: Talk, measure: Measure) -> bool:
    """ "FZ 9914 K", "48K 117": a letter of a registration and no thousands of kilometres."""
    last = measure.end - 1
    glued = talk.doc[last].text == "K" and last > measure.start and not talk.doc[last - 1].whitespace_
    if glued and talk.at(measure.end).isdigit() and talk.between(talk.of("shared"), measure.start - 3, last):
        return True
    capital = talk.doc[measure.end - 1].text == "K" and talk.doc[max(0, measure.start - 1)].text.isupper()
    return capital and talk.at(measure.start - 1).isalpha() and len(talk.at(measure.start - 1)) <= 3


def announced(talk: Talk, phrases: frozenset[tuple[str, ...]]) -> list[tuple[int, int]]:
    """Tokens of the phrases that announce something, the longest at each place."""
    found: list[tuple[int, int]] = []
    firsts = {p[0] for p in phrases}
    for at, word in enumerate(talk.norms):
        if word not in firsts or (found and at < found[-1][1]):
            continue
        longest = max((len(p) for p in phrases if tuple(talk.norms[at : at + len(p)]) == p), default=0)
        if longest:
            found.append((at, at + longest))
    return found


def _edges(talk: Talk) -> dict[int, int]:
    """Tokens next to the words that announce a distance, with how surely those do."""
    edges: dict[int, int] = {}
    units = {i for m in talk.measures if m.unit for i in range(m.start + 1, m.end)}
    for phrases in (identity().readout, identity().odometer):
        for start, end in announced(talk, phrases):
            if start in units:
                continue  # the kilometres of "15,000 kilometres" announce nothing
            named = not identity().named.isdisjoint(talk.norms[start:end])
            sureness = SAID if phrases is identity().readout else ODOMETER if named else CLOCK
            stop = next((i for i in range(end, end + 5) if talk.at(i) in _ENDS), end + 5)
            follows = talk.number_at(end) is not None  # "said forty thousand, the display says 47,392"
            before = range(0) if follows else range(start - 2, start + 1)
            for token in (*range(end, stop), *before):
                edges[token] = min(edges.get(token, STORY), sureness)
    return edges


def _announced_value(talk: Talk, measure: Measure, called: int) -> float:
    """The distance that a number without a unit is, 0 where it is none."""
    thousands = _in_thousands(talk, measure)
    if (measure.unit and not thousands) or called == STORY or not _whole(measure) or _is_span(talk, measure):
        return 0
    if thousands:
        return measure.value * 1000
    stated = talk.between(talk.of("limit"), measure.start - 4, measure.start)
    if called > CLOCK and (stated or of_a_part(talk, measure) or talk.at(measure.end) == "at"):
        return 0
    value = value_for(measure, "odometer", None)
    return value if value >= 500 else 0


def _in_thousands(talk: Talk, measure: Measure) -> bool:
    """ "31k on the clock": so many thousands, of a unit that is not said."""
    return measure.unit == "km" and talk.at(measure.end - 1) in ("k", "ks") and measure.value < 1000


def _with_unit(talk: Talk, at: int) -> float:
    """The distance of a number of miles or kilometres, 0 where it is none on the clock."""
    measure = talk.measures[at]
    before = talk.measures[at - 1] if at else None
    if before and before.end == measure.start - 1 and _are_groups(talk, before, measure):
        measure.start, before.role = before.start, "used"
        return before.value + measure.value
    value = value_for(measure, "odometer", measure.unit)
    return value if value >= 100 and not _is_span(talk, measure) else 0


def _are_groups(talk: Talk, before: Measure, rest: Measure) -> bool:
    """ "14,800 and 65 miles", as a recogniser prints 14,865."""
    hundreds = before.unit is None and before.value >= 1000 and before.value % 100 == 0 and _whole(before)
    return hundreds and talk.at(before.end) == "and" and rest.value < 100 and _whole(rest)


def _taken(talk: Talk, claim: Claim, doubts: list[Doubt]) -> Odometer:
    measure, value = claim.measure, claim.value
    measure.role = "used"
    talk.taken.update(range(measure.start, measure.end))
    thousands = _in_thousands(talk, measure)
    unit = measure.unit if measure.unit and not thousands else _usual(talk)
    if len(measure.number.parts) > 1 or measure.start < measure.number.start or thousands:
        message = f"The distance was said in groups; it was read as {value:,.0f} {unit}."
        doubts.append(Doubt(kind="grouped_distance", message=message))
    elif claim.doubted:
        message = f"Nobody said that {value:,.0f} {unit} is what the odometer shows."
        doubts.append(Doubt(kind="distance_unannounced", message=message))
    return Odometer(value=value, unit=unit)


def _usual(talk: Talk) -> str:
    return "mi" if talk.jurisdiction in _MILES else "km"


def _bare_distance(talk: Talk) -> Odometer | None:
    """ "51,006." by itself near the start, in terse talk; its unit may be said after it."""
    for measure in talk.between(talk.measures, 0, _EARLY + 1):
        ends = talk.at(measure.end) in (*_ENDS, ",")
        alone = talk.at(measure.start - 1) in _ENDS and ends and measure.unit is None
        fits = measure.role == "value" and measure.value >= 1000 and _whole(measure)
        if alone and fits and not is_live(talk, measure):
            measure.role = "used"
            talk.taken.update(range(measure.start, measure.end))
            said = next((m.id for m in talk.of("unit") if 0 <= m.start - measure.end <= 4), None)
            return Odometer(value=measure.value, unit=said if said in ("km", "mi") else _usual(talk))
    return None


def _is_date(talk: Talk, measure: Measure) -> bool:
    marked = talk.between(talk.codes, measure.start - 8, measure.end)
    return talk.near_before(measure.start, _DATED, 5) or any(c.end > measure.start for c in marked)


def _whole(measure: Measure) -> bool:
    return not measure.number.decimal and measure.number.fraction is None and measure.high is None


def _is_span(talk: Talk, measure: Measure) -> bool:
    """ "due in 500 miles", "every 6,000 miles": a distance to go, not the clock."""
    before: list[str] = []
    for at in range(measure.start - 1, measure.start - 5, -1):
        if talk.at(at) in (".", "?", "!"):
            break
        before.append(talk.at(at))
    after = talk.at(measure.end) in identity().span_after
    to_go = bool(identity().span & set(before))
    return after or (to_go and not identity().clock & set(before))
