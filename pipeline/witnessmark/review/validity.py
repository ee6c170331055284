"""Whether a reviewer's decision fits the walkround it is about."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from witnessmark.errors import DecisionError
from witnessmark.knowledge.furthest import furthest
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.review.standing import MACHINE, Entry, Standing, is_named, standings
from witnessmark.review.words import component_names, nearest, quantity_names, unit_names
from witnessmark.types import Action, Decision, DecisionKind, Finding, Limit, Machine, Reading, Walkround
from witnessmark.units import convert, text_of

Complaint = tuple[str, str]
"""What is wrong, and what to do about it."""

_LEGIBLE = 1e9
"""A larger number is not written out."""
_LETS_IN = (DecisionKind.CONFIRM, DecisionKind.CORRECT, DecisionKind.ADD)
_PUTS_ANOTHER_IN_ITS_PLACE = (DecisionKind.CORRECT, DecisionKind.ADD)


def check(walkround: Walkround, decision: Decision) -> None:
    """Accept the decision or say why not.

    Raises:
        DecisionError: with the item's key as its place; the walkround is as it was.
    """
    for what, remedy in _complaints(walkround, decision):
        raise DecisionError(what, decision.item, remedy)


def _complaints(walkround: Walkround, decision: Decision) -> Iterator[Complaint]:
    if decision.walkround != walkround.id:
        yield f"this decision is about walkround {decision.walkround}", f"Review {walkround.id} instead."
    if not decision.who.strip():
        yield "the decision names nobody", "Say who decides."
    yield from _about_the_key(standings(walkround), decision)
    if decision.kind is DecisionKind.REJECT and not decision.why.strip():
        yield "a rejection needs a reason", "Say in a few words why it is wrong."
    yield from _about_the_grade(decision)
    if decision.kind not in _PUTS_ANOTHER_IN_ITS_PLACE:
        if decision.becomes is not None:
            yield (
                f"to {decision.kind} an item changes nothing in it",
                "Correct it if it should read otherwise.",
            )
    elif decision.becomes is None:
        yield f"nothing says what to {decision.kind}", "Give the item as it should read."
    else:
        yield from _about_the_entry(decision.item, decision.becomes)


def _about_the_grade(decision: Decision) -> Iterator[Complaint]:
    if decision.grade is None:
        return
    if decision.item == MACHINE or isinstance(decision.becomes, Action) or decision.kind not in _LETS_IN:
        yield "only a finding or a reading that is let in has a grade", "Leave the grade out."
    if not decision.why.strip():
        yield "a grade other than that of the rules needs a reason", "Say in a few words what it rests on."


def _about_the_key(known: Mapping[str, Standing], decision: Decision) -> Iterator[Complaint]:
    standing = known.get(decision.item)
    if decision.kind is DecisionKind.ADD:
        unsaid = decision.item == MACHINE and standing is not None and not _says_anything(standing.proposal)
        if not decision.item.strip():
            yield "an added item needs a key", "Give it one that is not taken."
        if standing is not None and not (unsaid and standing.waiting):
            yield "there is an item of that key already", "Correct that one, or add under another key."
    elif standing is None:
        slip = nearest(decision.item, {key: key for key in known})
        yield "there is no such item in this walkround", f"Nearest: {', '.join(slip)}." if slip else ""
    elif decision.kind is DecisionKind.CONFIRM and not _can_be_filed(standing.proposal):
        yield "neither registration nor VIN was said", "Correct the identity, or reject it with a reason."


def _says_anything(entry: Entry) -> bool:
    return not isinstance(entry, Machine) or is_named(entry) or entry.odometer is not None


def _can_be_filed(entry: Entry) -> bool:
    return not isinstance(entry, Machine) or is_named(entry)


def _about_the_entry(key: str, entry: Entry) -> Iterator[Complaint]:
    if isinstance(entry, Machine) is not (key == MACHINE):
        yield "a machine's identity and an item cannot take each other's place", "Decide on each by itself."
    elif isinstance(entry, Machine):
        yield from _about_the_machine(entry)
    else:
        if entry.key not in ("", key):
            yield f"the item as it should read has another key ({entry.key})", "Keep the key."
        yield from _about_the_place(entry)
        yield from _about_the_content(entry)


def _about_the_machine(machine: Machine) -> Iterator[Complaint]:
    if not is_named(machine):
        yield "an identity needs a registration or a VIN", "Give one of them, or reject with a reason."
    if machine.odometer and not (math.isfinite(machine.odometer.value) and machine.odometer.value >= 0):
        yield "the odometer shows no distance", "Give it as a number that is not negative."
    elif machine.odometer:
        yield from _about_the_size("odometer", machine.odometer.value, machine.odometer.unit)


def _about_the_place(item: Finding | Reading | Action) -> Iterator[Complaint]:
    yield from _unknown("component", item.component, component_names())
    part = vocabulary().components.get(item.component)
    if part and item.end and not part.takes_end:
        yield f"{part.name} takes neither front nor rear", "Leave the end out."


def _about_the_content(item: Finding | Reading | Action) -> Iterator[Complaint]:
    match item:
        case Action():
            yield from _unknown("kind of work", item.kind, vocabulary().actions)
        case Finding(condition=None):
            if item.state != "unseen":
                yield "a finding needs a condition", "Name it, or say that the part was not seen."
        case Finding(condition=str(condition)):
            yield from _unknown("condition", condition, vocabulary().conditions)
        case Reading():
            yield from _about_the_reading(item)


def _about_the_reading(reading: Reading) -> Iterator[Complaint]:
    yield from _unknown("quantity", reading.quantity, quantity_names())
    canonical, name = vocabulary().quantities.get(reading.quantity, (None, reading.quantity))
    if canonical is None:
        if not isinstance(reading.value, str) or not reading.value.strip() or reading.unit is not None:
            yield f"{name} is text without a unit", "Write it as it is marked."
    elif isinstance(reading.value, str) or not _finite(reading.value, reading.limit):
        yield f"{name} is a number", "Give the value in digits."
    elif reading.unit is None:
        yield f"{name} needs a unit", f"It is usually given in {canonical}."
    else:
        unfit = list(_about_the_unit(name, reading.unit, canonical))
        yield from unfit
        for figure in () if unfit else (reading.value, *_bounds(reading.limit)):
            yield from _about_the_size(reading.quantity, figure, reading.unit)


def _about_the_unit(name: str, unit: str, canonical: str) -> Iterator[Complaint]:
    yield from _unknown("unit", unit, unit_names())
    try:
        convert(1.0, unit, canonical)
    except ValueError:
        yield f"{name} cannot be measured in {unit}", f"It is usually given in {canonical}."


def _about_the_size(quantity: str, value: float, unit: str) -> Iterator[Complaint]:
    """What nobody can have measured: far beyond what is only doubtful."""
    canonical, name = vocabulary().quantities[quantity]
    assert canonical is not None
    most = furthest()[quantity]
    if not abs(convert(value, unit, canonical)) <= most:
        given = text_of(value, unit) if abs(value) < _LEGIBLE else f"{value:.4g} {unit}"
        yield f"{name} cannot be {given}", f"Look at the digits; {text_of(most, canonical)} is the most."


def _finite(value: float, limit: Limit | None) -> bool:
    return all(map(math.isfinite, (value, *_bounds(limit))))


def _bounds(limit: Limit | None) -> tuple[float, ...]:
    given = () if limit is None else (limit.low, limit.high, limit.target)
    return tuple(number for number in given if number is not None)


def _unknown(what: str, word: str, names: Mapping[str, str]) -> Iterator[Complaint]:
    if word not in names:
        slip = nearest(word, names)
        yield f"no {what} is called {word!r}", f"Nearest: {', '.join(slip)}." if slip else ""
