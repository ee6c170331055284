"""Two figures said of two places: "front and rear are 28 and 30"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.talk import Measure, Part, Talk, Target

if TYPE_CHECKING:
    from witnessmark.extract.reader import Reader

_PLACES = (("front", "rear"), ("front", "back"), ("left", "right"))


def share_out(
    reader: Reader, index: int, measure: Measure, targets: tuple[Target, ...]
) -> tuple[Target, ...]:
    """The one of two places that a figure of a pair is of, in the order said; empty where there is no pair.

    Places that are said after the pair are bound to it.
    """
    talk = reader.talk
    if len({t.component for t in targets}) != 1 or len(targets) > 2:
        return ()
    after = next(iter(talk.starting(talk.measures, measure.end + 1)), None)
    before = next(iter(talk.ending(talk.measures, measure.start - 1)), None)
    first = after is not None and talk.at(measure.end) == "and" and _alike(measure, after)
    second = before is not None and talk.at(before.end) == "and" and _alike(before, measure)
    if first == second:
        return ()
    said = range(_sentence_start(talk, measure.start), measure.start)
    pair_end = after.end if first and after else measure.end
    for at in range(index + 1, min(index + 3, len(reader.events))):
        part = reader.events[at].part
        if part and part.component is None and part.start == pair_end and len(part.ends or part.sides) == 2:
            reader.bound.add(at)
            said = range(part.start, part.end)
            if len(targets) == 1:
                targets = _of_sides(targets[0], part)
    if len(targets) != 2:
        return ()
    targets = _in_order(talk, said, targets)
    return targets[:1] if first else targets[1:]


def share_left(reader: Reader, measure: Measure) -> tuple[Target, ...]:
    """ "26 front, 30 rear, brought up to 36 and 42": what was left goes in the order of what was found."""
    found = _found_pair(reader, measure)
    if not found:
        return ()
    talk = reader.talk
    first = talk.at(measure.end) == "and" and bool(talk.starting(talk.measures, measure.end + 1))
    second = is_second(talk, measure)
    return () if first == second else found[:1] if first else found[1:]


def is_second(talk: Talk, measure: Measure) -> bool:
    """Whether a figure is the second of two: "36 and 42"."""
    before = next(iter(talk.ending(talk.measures, measure.start - 1)), None)
    return before is not None and talk.at(before.end) == "and" and _alike(before, measure)


def left_second(reader: Reader, measure: Measure) -> bool:
    """Whether a figure is the second of two that work left where two were found."""
    return is_second(reader.talk, measure) and bool(_found_pair(reader, measure))


def _found_pair(reader: Reader, measure: Measure) -> tuple[Target, ...]:
    """Two places of which the same was found, at most two sentences back, in the order said."""
    now = reader.talk.sentence_of(measure.start)
    found = [r for r in reader.raws[-8:] if r.quantity and r.phase == "found" and not r.dropped]
    found = [r for r in found if now - reader.talk.sentence_of(r.end - 1) <= 2]
    if not found:
        return ()
    alike = [r for r in found if r.quantity == found[-1].quantity]
    targets = tuple(
        dict.fromkeys(r.target for r in alike if r.target.component == found[-1].target.component)
    )
    return targets if len(targets) == 2 and len(alike) == 2 else ()


def _of_sides(target: Target, part: Part) -> tuple[Target, ...]:
    """A part at both of two places."""
    if part.ends:
        return tuple(Target(target.component, end, target.side) for end in part.ends)
    return tuple(Target(target.component, target.end, side) for side in part.sides)


def _in_order(talk: Talk, said: range, targets: tuple[Target, ...]) -> tuple[Target, ...]:
    """Two places in the order in which their words stand: "rear and front"."""
    words = [talk.at(i) for i in said]
    for one, two in _PLACES:
        if one in words and two in words:
            turned = words.index(two) < words.index(one)
            by_end = targets[0].end != targets[1].end
            in_order = targets[0].end == "front" if by_end else targets[0].side == "left"
            if (one == "front") == by_end:
                return targets[::-1] if turned == in_order else targets
    return targets


def _sentence_start(talk: Talk, at: int) -> int:
    while at > 0 and talk.at(at - 1) not in (".", "?", "!", "\n"):
        at -= 1
    return at


def places_said(talk: Talk, at: int) -> bool:
    """Whether the sentence names both places."""
    start, end = _sentence_start(talk, at), at
    while talk.at(end) not in (".", "?", "!", "\n", ""):
        end += 1
    words = set(talk.norms[start:end])
    return any(words.issuperset(pair) for pair in _PLACES)


def _alike(one: Measure, two: Measure) -> bool:
    figures = one.role == two.role == "value" and one.value > 0
    return figures and one.unit in (two.unit, None) and one.value / 3 <= two.value <= one.value * 3
