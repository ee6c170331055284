"""The figure of a limit: said before its word, said again better, and the unit that it lends."""

from __future__ import annotations

from witnessmark.extract.lookup import Mention
from witnessmark.extract.measures import FAMILIES
from witnessmark.extract.talk import LimitSaid, Measure, Talk
from witnessmark.knowledge.grammar import words as word_set

AFTER_FIGURE = frozenset(("given", "fitting"))
"""Limit words that stand after their figure: "20 to 30 required"."""
_EITHER_WAY = word_set("nominal_words")
_STOPS = frozenset((",", ".", ";", "", "and", "but", "so"))
_LINKS = frozenset(("is", "'s", "are", "being", "was"))
_MENDS = word_set("limit_mends")
_IN_MENDS = _MENDS | {
    ",",
    "...",
    "i",
    "tell",
    "a",
    "lie",
    "mean",
    "meant",
    "make",
    "that",
    "hang",
    "on",
    "hold",
}
_MEND_REACH = 7
_LENDS = 12
"""Tokens after a limit within which a bare figure is in its unit."""
_MEASURED = word_set("measured")
_FOLLOWS = word_set("follows")
_RATIO = 8
_VAGUE = word_set("vague_range")
_ENDS = frozenset((".", "?", "!", ";", "\n", ""))


def may_follow(talk: Talk, cue: Mention) -> bool:
    """Whether a limit word stands after its figure: "0.8 mm nominal, was 0.9"."""
    if talk.at(cue.start) in ("it", "they") and talk.at(cue.end - 1) == "be":
        return talk.at(cue.end) in _STOPS  # "and 36 it should be"
    if cue.id in AFTER_FIGURE:
        return True
    return talk.at(cue.end - 1) in _EITHER_WAY and talk.at(cue.end) in _STOPS


def said_before(talk: Talk, cue: Mention) -> Measure | None:
    """The figure before "required", "is what they ask for", "where 2.5 belongs"."""
    end = cue.start - (talk.at(cue.start - 1) in _LINKS)
    measure = next(iter(talk.ending(talk.measures, end)), None)
    if measure is None or cue.id != "fitting":
        return measure
    return measure if measure.high is not None or talk.at(measure.start - 1) == "where" else None


def restate(talk: Talk, measure: Measure) -> None:
    """ "thirty hundredths, nought point three, permitted": the same figure said before is the limit too."""
    for same in talk.ending(talk.measures, measure.start - 1):
        if talk.at(same.end) == "," and abs(same.value - measure.value) < 1e-9 and same.role == "value":
            same.role = "limit"


def vague(talk: Talk, said: LimitSaid) -> bool:
    """ "somewhere between 2 and 3 mm": a reading after all, where nothing else was measured."""
    if talk.at(said.start) not in _VAGUE:
        return False
    start, end = said.start, said.end
    while start > 0 and talk.at(start - 1) not in _ENDS:
        start -= 1
    while talk.at(end) not in _ENDS:
        end += 1
    measures = talk.between(talk.measures, start, end)
    if any(m.role == "value" for m in measures):
        return False
    for measure in measures:
        if said.start <= measure.start < said.end:
            measure.role = "value"
    return True


def torques(talk: Talk) -> list[LimitSaid]:
    """ "somewhere between 95 and 105 foot-pounds, tightened to 98": nobody reads a range of torque."""
    found = []
    for measure in talk.measures:
        if (
            measure.role == "value"
            and measure.high is not None
            and FAMILIES.get(measure.unit or "") == "torque"
        ):
            measure.role = "limit"
            said = LimitSaid(measure.start, measure.end, "range", unit=measure.unit)
            said.low, said.high = measure.value, measure.high
            found.append(said)
    return found


def amend(talk: Talk, said: LimitSaid) -> None:
    """ "should be 25 to 35, no, sorry, 20 to 30": the last word stands."""
    at = said.end
    while talk.at(at) in _IN_MENDS and at - said.end < _MEND_REACH:
        at += 1
    better = next(iter(talk.starting(talk.measures, at)), None)
    if better is None or better.role != "value" or not _MENDS & set(talk.norms[said.end : at]):
        return
    if better.high is not None:
        said.low, said.high, said.target, said.bare = better.value, better.high, None, None
    elif said.measure is None:
        return
    else:
        said.low, said.high, said.target, said.bare = (
            None if x is None else better.value for x in (said.low, said.high, said.target, said.bare)
        )
    better.role, said.end, said.unit = "limit", better.end, better.unit or said.unit
    said.measure = better if better.high is None else None


def lend_unit(talk: Talk, said: LimitSaid) -> None:
    """ "Sticker wants 200 kPa, gauge says 175": what is measured right after is in the unit of its limit."""
    figure = next((x for x in (said.high, said.low, said.target, said.bare) if x), None)
    if said.unit is None or figure is None:
        return
    measure = next(iter(talk.between(talk.measures, said.end, said.end + _LENDS)), None)
    if measure is None or measure.unit is not None or measure.role != "value":
        return
    between = talk.norms[said.end : measure.start]
    near = figure / _RATIO <= measure.value <= figure * _RATIO
    led = between and between[-1] in _MEASURED and not {".", ";", "?"} & set(between)
    if near and led and (not talk.at(measure.end).isalpha() or talk.at(measure.end) in _FOLLOWS):
        measure.unit = said.unit
