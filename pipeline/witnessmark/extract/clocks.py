"""Whose distance a figure is: the machine's, another meter's, a part's or somebody's story."""

from __future__ import annotations

from witnessmark.extract.talk import Measure, Talk
from witnessmark.knowledge.identity import identity

ODOMETER, CLOCK, SAID, STORY = range(4)
"""How sure a figure is the machine's distance: named, by some clock, near the identity, or not."""
_STOPS = (".", "?", "!", ";", "\n", "")
_CLOCKS = frozenset(("instruments", "machine"))
"""Parts that a distance can be read from."""
_REACH = 12
"""Tokens before a figure in which the words stand that say whose it is."""
_BESIDE = 30
"""Tokens after a registration or VIN in which a distance needs no announcement."""


def of_another_meter(talk: Talk, measure: Measure, stops: tuple[str, ...] = (*_STOPS, ",")) -> bool:
    """ "trip reads 213", "the rev counter says 1300": the meter named nearest is not the odometer."""
    words = identity()
    for at in range(measure.start - 1, measure.start - 9, -1):
        if talk.at(at) in words.other_meters:
            return True
        if talk.at(at) in stops or talk.at(at) in words.meters:
            break
    after = (talk.at(i) for i in range(measure.end, measure.end + 6))
    led = talk.at(measure.end) in ("on", "showing") or talk.at(measure.end + 1) == "on"
    for word in after if led else ():
        if word in _STOPS or word == "," or word in words.meters:
            return False
        if word in words.other_meters:
            return True
    return False


def is_live(talk: Talk, measure: Measure) -> bool:
    """ "idle is 1100, meter reads 1100", "980 ohms": said of something that is measured while it runs."""
    live, at = identity().live, measure.start - 1
    if talk.at(measure.end) in live:
        return True
    while at >= max(0, measure.start - _REACH):
        if talk.at(at) in live:
            return True
        if talk.at(at) in _STOPS and measure.start - at > 5:
            return False  # "Idle is 1100. Meter reads 1100."
        at -= 1
    return any(w in live for w in _rest(talk, measure.end))


def _rest(talk: Talk, at: int) -> list[str]:
    """The words after a figure, to the next mark."""
    words: list[str] = []
    while talk.at(at) not in (*_STOPS, ",") and len(words) < 5:
        words.append(talk.at(at))
        at += 1
    return words


def of_a_part(talk: Talk, measure: Measure, stops: tuple[str, ...] = _STOPS) -> bool:
    """ "battery reads twelve four", "that tyre has done 3,000 miles": not the clock."""
    return names_part(talk, _begin(talk, measure, stops), measure.start)


def names_part(talk: Talk, start: int, end: int) -> bool:
    """Whether a part that no distance can be read from is named in [start, end)."""
    named = [m for family in ("part", "shared") for m in talk.between(talk.of(family), start, end)]
    return any(m.id not in _CLOCKS and m.start not in talk.taken for m in named)


def of_a_story(talk: Talk, measure: Measure) -> bool:
    """ "the sticker says 18,000 miles", "he rode 300 miles": neither read nor the machine's."""
    before = talk.norms[_begin(talk, measure, (*_STOPS, ",")) : measure.start]
    return not identity().elsewhere.isdisjoint((*before, *_rest(talk, measure.end)[:3]))


def _begin(talk: Talk, measure: Measure, stops: tuple[str, ...]) -> int:
    """First token of what is said right before a figure, back to a mark or the machine's identity."""
    start = measure.start
    while talk.at(start - 1) not in stops and start - 1 not in talk.taken and measure.start - start < _REACH:
        start -= 1
    return start


def beside_identity(talk: Talk, measure: Measure) -> bool:
    """Whether the registration or the VIN was spelled shortly before a figure, or comes right after it."""
    near = range(measure.start - _BESIDE, measure.end + _BESIDE // 2)
    return not talk.taken.isdisjoint(near)
