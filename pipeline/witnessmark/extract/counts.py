"""Whether a number is a measurement, or counts, names or stands for something."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.measures import KIND_OF
from witnessmark.extract.numberruns import MOVES
from witnessmark.extract.talk import Measure, Talk
from witnessmark.knowledge.grammar import words as word_set

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_WHICH = word_set("which_one")
_ZONES = word_set("tread_zones")
_STUFF = word_set("measured_stuff")
_ANNOUNCES = word_set("announces")
_FOLLOWS = word_set("follows") | {"found", "measured", "inner", "outer", "inside", "outside", "up", "out"}
_PRONOMINAL = word_set("pronominal")
_NUMBERED = word_set("numbered")
_AFTER_PRONOUN = word_set("after_pronoun")
_ONWARD = word_set("onward")
_THERE_ARE = (["there", "is"], ["there", "'s"], ["there", "are"], ["there", "were"])
_COUNTED = word_set("counted")
"""After a number they say what it counts."""
_TAKES_BACK = word_set("takes_back")
_APART = word_set("apart")
_COUNTABLE = ("spokes", "fasteners")
"""Parts that are counted: "in the rear wheel 3 spokes were loose"."""
_COUNTERS = word_set("counters")
"""Before a number they make it a count or a name."""


def is_one(talk: Talk, measure: Measure) -> bool:
    """Whether the word is "one", which may stand for a thing."""
    return talk.at(measure.start) == "one" and measure.end - measure.start == 1


def is_pronoun(reader: Reader, measure: Measure) -> bool:
    """ "a new one": no number."""
    talk, at = reader.talk, measure.start
    described = talk.at(at - 2) in ("a", "another", "the") and talk.at(at - 1).isalpha()
    followed = talk.at(measure.end) in _AFTER_PRONOUN
    is_part = any(p.component for p in talk.ending(talk.parts, at))  # "the clutch one's bent"
    after_unit = bool(talk.ending(talk.of("unit"), at))  # "the six-volt one"
    owned = talk.norms[max(0, at - 2) : at] == ["i", "have"] and talk.at(measure.end) == "on"
    of_part = is_part and talk.at(measure.end) in ("'s", "is")
    led = owned or of_part or after_unit or talk.at(at - 1) in _PRONOMINAL
    of_two = talk.at(measure.end) == "'s" and bool(talk.starting(talk.numbers, measure.end + 1))
    if talk.at(measure.start) == "1" and talk.at(at - 1) in _WHICH and measure.end - at == 1:
        return True  # "neither 1 scored"
    return is_one(talk, measure) and (of_two or led or (described and followed))


def taken_back(talk: Talk, measure: Measure) -> bool:
    """ "thirty eight no forty two psi": the figure said right after it stands, with its doubt."""
    at = measure.end
    while talk.at(at) in _TAKES_BACK and at - measure.end < 3:
        at += 1
    better = next(iter(talk.starting(talk.measures, at)), None) if at > measure.end else None
    if better is None or better.role != "value" or talk.punctuated:
        return False
    better.doubts = (*better.doubts, "corrected_in_speech")
    return True


def is_figure(reader: Reader, index: int, event: Event) -> bool:
    """Whether a number without a unit is a measurement and not a count."""
    talk, measure = reader.talk, event.measure
    assert measure is not None
    if _moved_from(talk, measure) or _of_quantity(talk, measure) or _at_zone(talk, measure):
        return True
    if _is_speed(talk, measure) or _numbers_things(talk, measure) or _says_how_many(talk, measure):
        return False
    if _begins_again(talk, measure) or _is_aside(reader, measure) or _is_difference(talk, measure):
        return False
    if _is_exact(measure):
        return True
    if _stands_alone(reader, event) or _counts_what_follows(reader, index, event):
        return False
    return _may_end(reader, index, event) and (_announced(talk, measure) or _after_mark(talk, measure))


def _moved_from(talk: Talk, measure: Measure) -> bool:
    """ "took it from 28 up to 36"."""
    moved = talk.at(measure.start - 1) == "from" and talk.at(measure.end) in (
        "down",
        "up",
        "to",
        "until",
        "till",
    )
    return moved and talk.near_before(measure.start - 1, MOVES, 7)


def _of_quantity(talk: Talk, measure: Measure) -> bool:
    """ "thirty of slack"."""
    if talk.at(measure.end) != "of":
        return False
    named = any(m.id in KIND_OF for m in talk.starting(talk.of("quantity"), measure.end + 1))
    return named or talk.at(measure.end + 1) in _STUFF


def _at_zone(talk: Talk, measure: Measure) -> bool:
    """ "4.5 on the left shoulder, 4 in the middle"."""
    after = talk.norms[measure.end : measure.end + 4]
    led = after[:1] in (["in"], ["on"], ["at"], ["across"]) and after[1:2] == ["the"]
    return led and bool(_ZONES & set(after[2:4])) and not is_one(talk, measure)


def _is_exact(measure: Measure) -> bool:
    """ "2.5", "two and a half": no count of things."""
    number = measure.number
    return number.decimal or (number.fraction is not None and number.value > 1)


def _is_speed(talk: Talk, measure: Measure) -> bool:
    """ "charging 14.2 at 3,000": how fast the engine turned."""
    ends = {measure.start, measure.start - 1 - (talk.at(measure.start - 2) in ("'s", "is", "was"))}
    near = talk.between(talk.of("quantity"), measure.start - 4, measure.start)
    idles = any(m.id == "idle_speed" and m.end in ends for m in near)
    return talk.at(measure.start - 1) == "at" and measure.value >= 1000 and not idles


def _numbers_things(talk: Talk, measure: Measure) -> bool:
    """ "cracks nil", "cylinders 1, 2 and 3", "stage 2"."""
    if measure.value == 0 and talk.ending(talk.of("condition"), measure.start):
        return True
    few = measure.number.plain and measure.value <= 8
    there = talk.norms[max(0, measure.start - 2) : measure.start] in _THERE_ARE
    if few and there and not talk.at(measure.end).isalpha():
        return True  # "In front there are two."
    return few and talk.near_before(measure.start, _NUMBERED)


def _says_how_many(talk: Talk, measure: Measure) -> bool:
    """ "four times", "the other three"."""
    before, after = talk.at(measure.start - 1), talk.at(measure.end)
    return after in _COUNTED or (before in _COUNTERS and not _is_exact(measure))


def _begins_again(talk: Talk, measure: Measure) -> bool:
    """ "Four. Four thirty-seconds.": said in full right after."""
    again = talk.starting(talk.measures, measure.end + 1)
    return any(m.unit and talk.at(m.start) == talk.at(measure.start) for m in again)


def _is_difference(talk: Talk, measure: Measure) -> bool:
    """ "ten over the top of the range", "six down on the 36"."""
    if talk.starting(talk.of("quantity"), measure.end):
        return False  # "three down the middle"
    return talk.at(measure.end) in _APART and talk.at(measure.end + 1) in ("the", "on", "what", "of")


def _is_aside(reader: Reader, measure: Measure) -> bool:
    """ "No cracks in it. Well, one, tiny": one of what was spoken of."""
    talk = reader.talk
    between = talk.at(measure.start - 1) == "," and talk.at(measure.end) == ","
    return is_one(talk, measure) and between and not reader.open_list


def _stands_alone(reader: Reader, event: Event) -> bool:
    """ "Four.": a sentence of its own, where nothing waits for a figure."""
    clause, measure = reader.talk.clauses[event.clause], event.measure
    assert measure is not None
    whole = clause.opener == "." and clause.start == measure.start
    return whole and reader.talk.at(measure.end) in (".", "!", "?", "...") and not reader.open_list


def _counts_what_follows(reader: Reader, index: int, event: Event) -> bool:
    """ "one tight link", "two bulbs", "the front one"."""
    talk, measure = reader.talk, event.measure
    assert measure is not None
    parts = talk.starting(talk.parts, measure.end)
    counts = talk.at(measure.end).isalpha() and talk.at(measure.end) not in _FOLLOWS
    if is_one(talk, measure) and (talk.at(measure.start - 1) in _PRONOMINAL or parts or counts):
        return True
    if not measure.number.plain or measure.value >= 10:
        return False
    following = reader.events[index + 1] if index + 1 < len(reader.events) else None
    described = following and following.start == measure.end and following.kind == "condition"
    if talk.at(measure.end) == "out" and talk.at(measure.end + 1) in ("by", "at", "on", "near"):
        return False  # "six out by the edge"
    if described and not talk.ending(talk.parts, measure.start):
        return True
    named = any(p.component for p in talk.ending(talk.parts, measure.start))
    return any(p.plural and (not named or p.component in _COUNTABLE) for p in parts)


def _may_end(reader: Reader, index: int, event: Event) -> bool:
    """Whether what follows a number can follow a measurement."""
    talk, measure = reader.talk, event.measure
    assert measure is not None
    at = measure.end
    following = reader.events[index + 1] if index + 1 < len(reader.events) else None
    return bool(
        talk.at(at) in _FOLLOWS
        or not talk.at(at).isalpha()
        or (following and following.start == at)
        or talk.starting(talk.parts, at)
        or any(m.role == "limit" for m in talk.starting(talk.measures, at))
        or talk.starting(talk.clauses, at)
        or any(talk.starting(found, at) for kind, found in talk.mentions.items() if kind != "cue:idiom")
    )


def _announced(talk: Talk, measure: Measure) -> bool:
    """Whether a word or phrase before a number, or its quantity after it, makes it a measurement."""
    at = measure.start
    ends = (
        talk.of("condition"),
        talk.of("quantity"),
        talk.of("place"),
        talk.codes,
        talk.measures,
        talk.parts,
    )
    quantities = talk.starting(talk.of("quantity"), measure.end)
    return bool(
        talk.at(at - 1) in _ANNOUNCES
        or (measure.high is not None and talk.at(at - 1) == "between")
        or any(talk.ending(items, at) for items in ends)
        or any(m.id in KIND_OF and m.id != "remaining" for m in quantities)
    )


def _after_mark(talk: Talk, measure: Measure) -> bool:
    return not talk.at(measure.start - 1).isalpha()
