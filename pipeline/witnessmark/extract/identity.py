"""The machine's registration, VIN and distance on the clock."""

from __future__ import annotations

import re

from witnessmark.extract.odometer import announced, is_letter_k, read_odometer
from witnessmark.extract.spelling import Spelled, spell
from witnessmark.extract.talk import Talk
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.identity import identity
from witnessmark.types import Doubt, Machine

_VALUES = dict(
    zip(
        "ABCDEFGHJKLMNPRSTUVWXYZ",
        [1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 7, 9, 2, 3, 4, 5, 6, 7, 8, 9],
        strict=True,
    )
)
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_NO_YEAR = "0UZ"
"""Never the code of a model year in position 10 (49 CFR 565.15, table VII; from memory)."""
_LINKS = word_set("identity_links")
_BEFORE = 24
"""Tokens before "is the plate" that a registration may take."""
_EARLY = 60
"""Tokens of the talk in which a registration may stand unannounced."""
_COUNTED = word_set("machine_counted")


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
    odometer = read_odometer(talk, doubts)
    return Machine(registration=registration, vin=vin, odometer=odometer, doubts=tuple(doubts))


def vin_checks(vin: str) -> bool:
    """Whether position 9 is the check digit of 49 CFR 565.15(c) and position 10 can be a model year.

    Shape: 17 characters without I, O, Q.
    """
    if not re.fullmatch(r"[A-HJ-NPR-Z0-9]{17}", vin) or vin[9] in _NO_YEAR:
        return False
    total = sum((int(c) if c.isdigit() else _VALUES[c]) * w for c, w in zip(vin, _WEIGHTS, strict=True))
    return vin[8] == "0123456789X"[total % 11]


_OF_PLATES = word_set("of_plates")
"""After "number plate" they name a part."""


def _registration(talk: Talk, doubts: list[Doubt]) -> str | None:
    mark = _announced_mark(talk) or _unannounced(talk)
    if mark is None:
        return None
    patterns = identity().formats.get(talk.jurisdiction or "", ())
    if patterns and not any(p.fullmatch(mark) for p in patterns):
        doubts.append(
            Doubt(kind="registration_form", message=f"{mark} is not in a form that registrations there have.")
        )
    return mark


def _announced_mark(talk: Talk) -> str | None:
    """A registration after "plate" and its like, else one right before "is the plate"."""
    named = announced(talk, identity().registration)
    places = [(s, e) for s, e in named if s not in talk.taken and talk.at(e) not in _OF_PLATES]
    for start, end in places:
        spelled = _glued(talk, end) or _after(talk, end)
        if spelled and (found := _fit(talk, spelled)):
            talk.taken.update(range(start, found.end))
            return _corrected(talk, found.end) or found.text
    return next((mark for start, _ in places if (mark := _before(talk, start))), None)


def _before(talk: Talk, start: int) -> str | None:
    """ "one five one mike eight eight two is the reg"."""
    end = start
    while talk.at(end - 1) in _LINKS:
        end -= 1
    if end == start:
        return None
    for at in range(max(0, end - _BEFORE), end - 1):
        spelled = spell(talk, at)
        if at in talk.taken:
            continue
        if spelled and spelled.end == end and _is_mark(spelled) and len(spelled.text) >= 4:
            talk.taken.update(range(at, end))
            return spelled.text
    return None


def _glued(talk: Talk, at: int) -> Spelled | None:
    """ "kt19 wbd": small letters and digits that together are in a form of the country's."""
    patterns = identity().formats.get(talk.jurisdiction or "", ())
    while talk.at(at) in _LINKS:
        at += 1
    apart = at
    for start in range(at, min(at + 6, len(talk.norms))):
        if talk.norms[start] in (".", ";") or start in talk.taken:
            return None
        text, found = "", None
        for end in range(start + 1, min(start + 7, len(talk.norms)) + 1):
            if not talk.norms[end - 1].isalnum():
                break
            text += talk.norms[end - 1].upper()
            touching = end - start >= 2 and not talk.doc[start].whitespace_
            cut = not talk.doc[end - 1].whitespace_ and talk.at(end).isalnum()
            forms = () if cut else patterns if touching else patterns[:1] if start == apart else ()
            if any(p.fullmatch(text) for p in forms):
                found = Spelled(start, end, text, ((end, text), (end, "")))
        if found:
            return found
    return None


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


def _fit(talk: Talk, spelled: Spelled) -> Spelled | None:
    """Cuts a run where a registration ends: by the country's form, and before a distance."""
    cut = _without_distance(talk, _without_count(talk, spelled))
    if cut is None:
        return None
    formed = _in_form(talk, cut)
    if formed and not _goes_on(talk, formed, cut):
        return formed
    return cut if 3 <= len(cut.text) <= 12 else formed


def _goes_on(talk: Talk, formed: Spelled, run: Spelled) -> bool:
    """ "1ABC | 234": a few figures right after what is in a form, which can be no distance."""
    rest = run.text[len(formed.text) :]
    return rest.isdigit() and len(rest) <= 3 and "," not in talk.norms[formed.end : run.end]


def _in_form(talk: Talk, run: Spelled) -> Spelled | None:
    """The longest beginning of a run that is in a common form of the country's registrations."""
    patterns = identity().formats.get(talk.jurisdiction or "", ())
    for count in range(len(run.units), 0, -1):
        text = "".join(u[1] for u in run.units[:count])
        if any(p.fullmatch(text) for p in patterns[:3]):
            return Spelled(run.start, run.units[count - 1][0], text, run.units[:count])
    return None


def _without_count(talk: Talk, spelled: Spelled) -> Spelled:
    """Leaves off the number of the bike in a row: "bike number nine, Juliett Kilo ..." """
    first, rest = spelled.units[0], spelled.units[1:]
    row = talk.at(spelled.start - 1) == "number" and talk.at(spelled.start - 2) in _COUNTED
    counted = first[1].isdigit() and talk.at(first[0]) == ","
    text = "".join(u[1] for u in rest)
    whole = any(c.isdigit() for c in text) and any(c.isalpha() for c in text) and len(text) >= 4
    left = Spelled(first[0] + 1, spelled.end, text, rest)
    formed = row or (_in_form(talk, left) == left and not _in_form(talk, spelled))
    return left if counted and whole and formed else spelled


def _without_distance(talk: Talk, spelled: Spelled) -> Spelled | None:
    """Leaves off a last number that is a distance: "... kilo nineteen thousand miles"."""
    inside = talk.between(talk.measures, spelled.start, spelled.end)
    clock = min(
        (m.start for m in inside if m.unit in ("km", "mi") and not is_letter_k(talk, m)), default=None
    )
    spoken = talk.between(talk.numbers, spelled.start, spelled.end)
    clock = min((n.start for n in spoken if "thousand" in talk.norms[n.start : n.end]), default=clock)
    units = tuple(u for u in spelled.units if clock is None or u[0] <= clock)
    distance = {"miles", "mile", "kilometres", "kilometers", "km", "kms", "k", "thousand"}
    while units and talk.at(units[-1][0]) in distance and units[-1][1].isdigit():
        units = units[:-1]
    text = "".join(u[1] for u in units)
    return Spelled(spelled.start, units[-1][0], text, units) if len(units) > 1 else None


def _corrected(talk: Talk, at: int) -> str | None:
    """ "..., sorry, Papa Hotel 68 ..." """
    cue = next(iter(talk.between(talk.cues("correct"), at, at + 4)), None)
    spelled = _after(talk, cue.end) if cue else None
    mark = _fit(talk, spelled) if spelled and spelled.start - at <= 8 else None
    if mark and len(mark.text) >= 4:
        talk.taken.update(range(at, mark.end))
        return mark.text
    return None


def _unannounced(talk: Talk) -> str | None:
    """Spelling words with digits near the start, without "registration" before them."""
    for at in range(min(_EARLY, len(talk.norms))):
        if at in talk.taken or _is_thing(talk, at):
            continue
        spelled = spell(talk, at)
        if spelled is None or not _is_mark(spelled):
            continue
        cut = _without_distance(talk, spelled)
        words = [w for w in talk.norms[at : spelled.end] if w in identity().letters or w == "ray"]
        mark = _in_form(talk, _without_count(talk, cut)) if cut else None
        if len(words) >= 2:
            mark = mark or _fit(talk, spelled)
        elif cut and mark is None and _before_vin(talk, cut.end):
            mark = cut
        if mark and _is_mark(mark) and (words or _printed_capitals(talk, mark)):
            talk.taken.update(range(at, mark.end))
            return mark.text
    return None


def _is_thing(talk: Talk, at: int) -> bool:
    """ "the next one": begins no run of digits."""
    return talk.norms[at] == "one" and talk.at(at - 1) in ("next", "this", "that", "last", "first", "other")


def _before_vin(talk: Talk, end: int) -> bool:
    """ "FZ 9914 K, VIN ...": what stands there can only be the registration."""
    return any(start - end <= 2 for start, _ in announced(talk, identity().vin) if start >= end)


def _printed_capitals(talk: Talk, mark: Spelled) -> bool:
    """ "FZ 9914 K" in a text that is not printed in capitals throughout."""
    text = talk.doc[mark.start : mark.end].text
    return len(mark.text) >= 5 and text.isupper() and not talk.doc.text.isupper()


def _vin(talk: Talk) -> str | None:
    for start, end in announced(talk, identity().vin):
        for step in range(end, min(end + 12, len(talk.norms))):
            if talk.norms[step] in (".", ";", "?"):
                break
            spelled = spell(talk, step)
            if spelled and len(spelled.text) >= 11:
                talk.taken.update(range(start, spelled.end))
                return spelled.text[:17]
    return None
