"""The machine's registration, VIN and distance on the clock."""

from __future__ import annotations

import re

from witnessmark.extract.cardinals import ONES
from witnessmark.extract.measures import value_for
from witnessmark.extract.spelling import Spelled, spell
from witnessmark.extract.talk import Measure, Talk
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.identity import identity
from witnessmark.types import Doubt, Machine, Odometer

_VALUES = dict(
    zip(
        "ABCDEFGHJKLMNPRSTUVWXYZ",
        [1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 7, 9, 2, 3, 4, 5, 6, 7, 8, 9],
        strict=True,
    )
)
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_FILLERS = word_set("fillers")
_MILES = ("GB", "US")
_COUNTED = frozenset(("bike", "scooter", "unit", "machine", "job", "bay", "lift", "vehicle", "motorcycle"))


def read_machine(talk: Talk) -> Machine:
    """The identity as said; its tokens are put into ``talk.taken``."""
    doubts: list[Doubt] = []
    vin = _vin(talk)
    registration = _registration(talk, doubts)
    if vin and not vin_checks(vin):
        doubts.append(
            Doubt(
                kind="vin_check",
                message=f"The check digit of {vin} does not fit; outside North America it is often not used.",
            )
        )
    odometer = _odometer(talk, doubts)
    return Machine(registration=registration, vin=vin, odometer=odometer, doubts=tuple(doubts))


def vin_checks(vin: str) -> bool:
    """Whether position 9 is the check digit of 49 CFR 565.15(c). Shape: 17 characters without I, O, Q."""
    if not re.fullmatch(r"[A-HJ-NPR-Z0-9]{17}", vin):
        return False
    total = sum((int(c) if c.isdigit() else _VALUES[c]) * w for c, w in zip(vin, _WEIGHTS, strict=True))
    return vin[8] == "0123456789X"[total % 11]


def _announced(talk: Talk, phrases: frozenset[tuple[str, ...]]) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    firsts = {p[0] for p in phrases}
    for at, word in enumerate(talk.norms):
        if word not in firsts:
            continue
        longest = max((len(p) for p in phrases if tuple(talk.norms[at : at + len(p)]) == p), default=0)
        if longest and not (found and at < found[-1][1]):
            found.append((at, at + longest))
    return found


def _registration(talk: Talk, doubts: list[Doubt]) -> str | None:
    found: tuple[Spelled, str] | None = None
    for start, end in _announced(talk, identity().registration):
        spelled = _after(talk, end)
        if spelled and start not in talk.taken:
            mark = _fit(talk, spelled)
            if mark:
                found = mark
                talk.taken.update(range(start, mark[0].end))
                corrected = _corrected(talk, mark[0].end)
                if corrected:
                    found = corrected
                break
    found = found or _unannounced(talk)
    if found is None:
        return None
    patterns = identity().formats.get(talk.jurisdiction or "", ())
    if patterns and not any(p.fullmatch(found[1]) for p in patterns):
        doubts.append(
            Doubt(
                kind="registration_form",
                message=f"{found[1]} is not in a form that registrations there have.",
            )
        )
    return found[1]


def _after(talk: Talk, at: int) -> Spelled | None:
    for step in range(at, min(at + 14, len(talk.norms))):
        spelled = spell(talk, step)
        if spelled and _is_mark(spelled):
            return spelled
        if spelled is None and talk.norms[step] in (".", ";") and step > at:
            return None
    return None


def _is_mark(spelled: Spelled) -> bool:
    has_digit, has_letter = any(c.isdigit() for c in spelled.text), any(c.isalpha() for c in spelled.text)
    return has_digit and has_letter and len(spelled.text) >= 3 and len(spelled.units) > 1


def _fit(talk: Talk, spelled: Spelled) -> tuple[Spelled, str] | None:
    """Cuts a run where a registration ends: by the country's form, and before a distance."""
    cut = _without_distance(talk, _without_count(talk, spelled))
    if cut is None:
        return None
    patterns = identity().formats.get(talk.jurisdiction or "", ())
    for count in range(len(cut.units), 1, -1):
        text = "".join(u[1] for u in cut.units[:count])
        if any(p.fullmatch(text) for p in patterns[:3]):
            return Spelled(cut.start, cut.units[count - 1][0], text, cut.units[:count]), text
    return (cut, cut.text) if 3 <= len(cut.text) <= 12 else None


def _without_count(talk: Talk, spelled: Spelled) -> Spelled:
    """Leaves off the number of the bike in a row: "bike number nine, Juliett Kilo ..." """
    first, rest = spelled.units[0], spelled.units[1:]
    row = talk.at(spelled.start - 1) == "number" and talk.at(spelled.start - 2) in _COUNTED
    counted = row and first[1].isdigit() and talk.at(first[0]) == ","
    text = "".join(u[1] for u in rest)
    whole = any(c.isdigit() for c in text) and any(c.isalpha() for c in text)
    return Spelled(first[0] + 1, spelled.end, text, rest) if counted and whole and len(text) >= 4 else spelled


def _without_distance(talk: Talk, spelled: Spelled) -> Spelled | None:
    """Leaves off a last number that is a distance: "... kilo nineteen thousand miles"."""
    clock = min(
        (m.start for m in talk.measures if m.unit in ("km", "mi") and spelled.start <= m.start < spelled.end),
        default=None,
    )
    spoken = (
        n
        for n in talk.numbers
        if "thousand" in talk.norms[n.start : n.end] and spelled.start <= n.start < spelled.end
    )
    clock = min((n.start for n in spoken), default=clock)
    units = tuple(u for u in spelled.units if clock is None or u[0] <= clock)
    distance = {"miles", "mile", "kilometres", "kilometers", "km", "kms", "k", "thousand"}
    while units and talk.at(units[-1][0]) in distance and units[-1][1].isdigit():
        units = units[:-1]
    text = "".join(u[1] for u in units)
    return Spelled(spelled.start, units[-1][0], text, units) if len(units) > 1 else None


def _corrected(talk: Talk, at: int) -> tuple[Spelled, str] | None:
    """ "..., sorry, Papa Hotel 68 ..." """
    cue = next((c for c in talk.cues("correct") if at <= c.start <= at + 3), None)
    spelled = _after(talk, cue.end) if cue else None
    mark = _fit(talk, spelled) if spelled and spelled.start - at <= 8 else None
    if mark and len(mark[1]) >= 4:
        talk.taken.update(range(at, mark[0].end))
        return mark
    return None


def _unannounced(talk: Talk) -> tuple[Spelled, str] | None:
    """Two or more spelling words with digits near the start, without "registration" before them."""
    for at in range(min(60, len(talk.norms))):
        if at in talk.taken:
            continue
        if talk.norms[at] == "one" and talk.at(at - 1) in ("next", "this", "that", "last", "first", "other"):
            continue
        if talk.norms[at] in identity().letters or talk.norms[at].isdigit() or talk.norms[at] in ONES:
            spelled = spell(talk, at)
            words = (
                [w for w in talk.norms[at : spelled.end] if w in identity().letters or w == "ray"]
                if spelled
                else []
            )
            if spelled and len(words) >= 2 and _is_mark(spelled):
                mark = _fit(talk, spelled)
                if mark:
                    talk.taken.update(range(at, mark[0].end))
                    return mark
    return None


def _vin(talk: Talk) -> str | None:
    for start, end in _announced(talk, identity().vin):
        for step in range(end, min(end + 12, len(talk.norms))):
            if talk.norms[step] in (".", ";", "?"):
                break
            spelled = spell(talk, step)
            if spelled and len(spelled.text) >= 11:
                talk.taken.update(range(start, spelled.end))
                return spelled.text[:17]
    return None


def _odometer(talk: Talk, doubts: list[Doubt]) -> Odometer | None:
    """The distance on the clock: with its unit, or announced, the first that is large enough."""
    announced = _announced(talk, identity().odometer)
    for measure in talk.measures:
        dated = talk.near_before(measure.start, frozenset(("date", "code", "dot", "week")), 5)
        if measure.role != "value" or measure.start in talk.taken or dated:
            continue
        near = any(0 <= measure.start - end <= 4 or 0 <= start - measure.end <= 2 for start, end in announced)
        distance = measure.unit in ("km", "mi")
        value = value_for(measure, "odometer", measure.unit)
        if (distance and value >= 100 and not _is_span(talk, measure)) or (
            near and measure.unit is None and value >= 500 and _whole(measure)
        ):
            measure.role = "used"
            talk.taken.update(range(measure.start, measure.end))
            unit = measure.unit or ("mi" if talk.jurisdiction in _MILES else "km")
            if len(measure.number.parts) > 1:
                doubts.append(
                    Doubt(
                        kind="grouped_distance",
                        message=f"The distance was said in groups; it was read as {value:,.0f} {unit}.",
                    )
                )
            return Odometer(value=value, unit=unit)
    return _bare_distance(talk)


def _bare_distance(talk: Talk) -> Odometer | None:
    """ "51,006." by itself near the start, in terse talk."""
    for measure in talk.measures:
        if measure.start > 40:
            break
        alone = talk.at(measure.start - 1) in (".", "") and talk.at(measure.end) in (".", "")
        if (
            alone
            and measure.unit is None
            and measure.role == "value"
            and measure.value >= 1000
            and _whole(measure)
        ):
            measure.role = "used"
            talk.taken.update(range(measure.start, measure.end))
            return Odometer(value=measure.value, unit="mi" if talk.jurisdiction in _MILES else "km")
    return None


def _whole(measure: Measure) -> bool:
    return not measure.number.decimal and measure.number.fraction is None and measure.high is None


def _is_span(talk: Talk, measure: Measure) -> bool:
    """ "due in 500 miles", "every 6,000 miles": a distance to go, not the clock."""
    before = [talk.at(i) for i in range(measure.start - 4, measure.start)]
    return bool(
        {"every", "another", "next", "last", "within", "about", "in", "after", "for", "than", "only", "over"}
        & set(before)
    ) and not {"clock", "odometer", "showing", "mileage", "reads"} & set(before)
