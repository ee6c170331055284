"""How much longer than new a chain is, from a length over counted pitches."""

from __future__ import annotations

import re
from typing import NamedTuple

from witnessmark.assess.context import Context
from witnessmark.assess.words import occurs, tokens
from witnessmark.knowledge.chains import Chains, chains
from witnessmark.types import Reading
from witnessmark.units import convert


class Elongation(NamedTuple):
    """What a measured length says."""

    percent: float | None
    """None where the count is doubted."""
    new_mm: float
    """Length of as many pitches when new."""
    words: str


class Counted(NamedTuple):
    """How many pitches were measured, and a warning about the count."""

    pitches: int
    trap: str = ""


def elongation(measured_mm: float, pitches: int, pitch_mm: float) -> float:
    """Per cent longer than new: pins are counted from 1, so pin 1 to pin 21 is 20 pitches."""
    new = pitches * pitch_mm
    return (measured_mm - new) / new * 100


def counted(words: list[str]) -> Counted | None:
    """The count in a remark: "twenty links", "pin one to pin twenty-one"; None when there is none."""
    table = chains()
    numbers = _numbers(words, table)
    if span := _pins_spanned(words, numbers, table):
        trap = f"pin 1 to pin {span} are {span - 1} pitches" if span % 10 == 0 else ""
        return Counted(span - 1, trap)
    for at, size, number in numbers:
        noun = words[at + size] if at + size < len(words) else ""
        if noun in table.nouns.pitches:
            return Counted(number)
        if noun in table.nouns.pins:
            return Counted(number - 1, f"{number} pins are {number - 1} pitches")
    return None


def _pins_spanned(words: list[str], numbers: list[tuple[int, int, int]], table: Chains) -> int | None:
    """The last pin of "pin one to pin twenty"."""
    for at, size, first in numbers:
        for until, _, last in numbers:
            joined = set(words[at + size : until]) & set(table.span)
            if first == 1 < last and joined and _pin_before(words, at, table):
                return last
    return None


def _pin_before(words: list[str], at: int, table: Chains) -> bool:
    return bool(set(words[max(0, at - 2) : at]) & set(table.nouns.pins))


def _numbers(words: list[str], table: Chains) -> list[tuple[int, int, int]]:
    """(place, length in words, number) of every count, the longest first at each place."""
    phrases = [(tokens(said), number) for number, row in table.counts.items() for said in (*row, str(number))]
    phrases.append((["one"], 1))
    phrases.append((["1"], 1))
    found: list[tuple[int, int, int]] = []
    at = 0
    while at < len(words):
        here = [(len(p), n) for p, n in phrases if words[at : at + len(p)] == p]
        if here:
            size, number = max(here)
            found.append((at, size, number))
            at += size
        else:
            at += 1
    return found


def _pitch(words: list[str], context: Context) -> tuple[float | None, str]:
    """Pitch in mm and how it is known: the size said, else the machine card's; None when neither."""
    table = chains()
    rows = {row.id: row for row in table.chains}
    phrases = [(tokens(said), size) for size, row in table.sizes_said.items() for said in (*row, size)]
    said = [(len(phrase), size) for phrase, size in phrases if occurs(words, phrase)]
    if said:
        size = max(said)[1]
        return rows[size].pitch_mm, f"of a {size} chain"
    for mark in context.card.markings if context.card else ():
        if mark.component == "chain" and mark.quantity == "size_marking":
            size = next((row for row in re.findall(r"\d{3}", mark.text) if row in rows), "")
            if size:
                return rows[size].pitch_mm, f"of the {size} chain on the machine card"
    return None, ""


def elongation_of(reading: Reading, context: Context) -> Elongation | None:
    """The elongation behind a chain's length; None when no count was said.

    The size of the chain is the one said or the card's; else that pitch is taken which alone fits.
    """
    words = [word for stretch in context.words(reading) for word in stretch]
    count = counted(words)
    if count is None or count.pitches < 1 or isinstance(reading.value, str):
        return None
    measured = convert(float(reading.value), reading.unit or "mm", "mm")
    pitch, whose = _pitch(words, context)
    low, high = chains().implausible
    if pitch is None:
        pitches = sorted({row.pitch_mm for row in chains().chains})
        fitting = [p for p in pitches if low <= elongation(measured, count.pitches, p) <= high]
        if len(fitting) != 1:
            return Elongation(None, 0.0, _uncounted(count, "say the size of the chain and count again"))
        pitch, whose = fitting[0], f"of {fitting[0]:g} mm (the only pitch that fits)"
    percent = elongation(measured, count.pitches, pitch)
    new = count.pitches * pitch
    if not low <= percent <= high:
        return Elongation(None, new, _uncounted(count, _trap(measured, count, pitch, new)))
    notes = [f"Mind the count: {count.trap}" if count.trap else "", _ceiling(context)]
    said = f"{count.pitches} pitches {whose} are {new:g} mm new, so it is {percent:.2f} % longer"
    return Elongation(percent, new, ". ".join(filter(None, (said, *notes))))


def _ceiling(context: Context) -> str:
    """What a large sprocket bears, where that is less than any other limit."""
    teeth = context.card.rear_teeth if context.card else None
    most = chains().ceiling / teeth if teeth else chains().governs
    return f"{teeth} teeth bear at most {most:.2f} %" if most < chains().governs else ""


def _uncounted(count: Counted, why: str) -> str:
    trap = f"{count.trap}; " if count.trap else ""
    return f"The length does not fit {count.pitches} pitches: {trap}{why}"


def _trap(measured: float, count: Counted, pitch: float, new: float) -> str:
    """What a length that cannot be suggests: one pitch too few or too many was counted."""
    low, high = chains().implausible
    for other in (count.pitches - 1, count.pitches + 1):
        if other > 0 and low <= elongation(measured, other, pitch) <= high:
            return (
                f"they are {new:g} mm new, and it fits {other}; the last pin counted from 1 is one more"
                " than the pitches, so count again"
            )
    return f"they are {new:g} mm new; measure and count again"
