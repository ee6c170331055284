"""Limits and specifications that the technician says."""

from __future__ import annotations

from witnessmark.extract.limit_figures import (
    AFTER_FIGURE,
    amend,
    lend_unit,
    may_follow,
    restate,
    said_before,
    torques,
    vague,
)
from witnessmark.extract.lookup import Mention
from witnessmark.extract.talk import LimitSaid, Measure, Talk
from witnessmark.extract.unitwords import carried
from witnessmark.knowledge.grammar import words as word_set

_LEADS = word_set("limit_leads") | {"them", "those", "these", "this", "which"}
_LIMIT_WORDS = word_set("limit_words")
_BE = frozenset(("is", "'s", "are", "was"))
_BEFORE_CUE = _BE | frozenset(("the", "a", "our", "your", "their", "its", "as", "what"))
_GOES_ON = frozenset(("is", "'s", "of", "on", "for"))
"""After a cue they lead to a figure of its own."""
_PLACES = frozenset(("front", "rear", "back", "left", "right"))
_OUGHT = word_set("ought")
_TO_PLACE = word_set("to_place")
_WHO = word_set("limit_subjects")
_PAIR = 24
"""Tokens before a pair of limits within which its two readings stand."""
_REACH = 4
"""Words that may stand between a cue and its figure, names of parts not counted."""
_FAR = 10
_SIDES = {"more": "high", "over": "high", "above": "high", "less": "low", "under": "low", "below": "low"}
"""Before a figure that is not allowed: which side of it is forbidden."""


def find_limits(talk: Talk) -> list[LimitSaid]:
    """Limits and specifications; their figures are marked as such in ``talk.measures``."""
    found: list[LimitSaid] = []
    cues = talk.of("limit")
    for at, cue in enumerate(cues):
        following = cues[at + 1] if at + 1 < len(cues) else None
        measure = None if cue.id in AFTER_FIGURE and may_follow(talk, cue) else _figure_after(talk, cue)
        if measure and following and following.start < measure.start:
            continue
        measure = measure or (said_before(talk, cue) if may_follow(talk, cue) else _figure_before(talk, cue))
        if measure is None and cue.id in ("target", "given") and (same := _as_given(talk, cue)):
            said = _limit(talk, cue, same)
            said.start = cue.start
            found.append(said)
            continue
        if measure and measure.role == "value":
            _give_back(talk, found, cue, measure)
            measure.role = "limit"
            carried(talk, measure)
            restate(talk, measure)
            second = _second_of_pair(talk, cue, measure)
            found.append(_same_kind(talk, found, _two_ends(talk, cue, measure, _limit(talk, cue, measure))))
            if second:
                second.role, found[-1].back = "limit", 1
                found.append(_limit(talk, cue, second))
                found[-1].start = second.start
        elif found and cue.start == found[-1].end:
            _called(found[-1], cue)
    found = [said for said in found if not vague(talk, said)]
    for said in found:
        amend(talk, said)
        lend_unit(talk, said)
    return sorted([*found, *torques(talk)], key=lambda s: s.start)


def _second_of_pair(talk: Talk, cue: Mention, measure: Measure) -> Measure | None:
    """ "31 front and 38 rear, they want 36 and 42": the second of two limits for two readings."""
    if measure.high is not None or measure.start < cue.start or talk.at(cue.end - 1) == "limits":
        return None
    at = _place_after(talk, measure.end)
    placed = at > measure.end
    joined = talk.at(at) in ("and", ",")
    second = next(iter(talk.starting(talk.measures, at + joined)), None)
    if second is None or not (joined or placed) or second.role != "value" or second.high is not None:
        return None
    before = [m for m in talk.between(talk.measures, cue.start - _PAIR, cue.start) if m.role == "value"]
    alike = second.unit in (None, measure.unit) and measure.value / 2 <= second.value <= measure.value * 2
    both = placed == (_place_after(talk, second.end) > second.end)
    return second if alike and both and (placed or (len(before) > 1 and talk.at(at) == "and")) else None


def _place_after(talk: Talk, at: int) -> int:
    """End of "front", "for the rear" or the like after a figure; its own end where there is none."""
    end = at
    while talk.at(end) in _TO_PLACE:
        end += 1
    return end + 1 if talk.at(end) in _PLACES else at


def _give_back(talk: Talk, found: list[LimitSaid], cue: Mention, measure: Measure) -> None:
    """ "end float is no more than half a mil, max one": the first figure was a reading after all."""
    said = found[-1] if found else None
    if said is None or said.measure is None or said.kind != cue.id or cue.id not in ("low", "high"):
        return
    stated = talk.at(said.start - 1) in _BE and talk.at(said.start) in ("no", "not", "under", "over", "at")
    if stated and talk.norms[said.end : cue.start] in ([","], ["and"], [",", "and"], []):
        said.measure.role = "value"
        found.pop()


def _called(said: LimitSaid, cue: Mention) -> None:
    """ "should be two minimum": a figure that turns out to be low or high."""
    if cue.id in ("low", "high") and said.target is not None:
        said.low, said.high = (said.target, None) if cue.id == "low" else (None, said.target)
        said.target, said.kind, said.end = None, cue.id, cue.end


def _figure_after(talk: Talk, cue: Mention) -> Measure | None:
    near = talk.between(talk.measures, cue.start + 1, cue.end + _FAR)
    measure = next((m for m in near if m.end > cue.end), None)
    if measure is None:
        return None
    few = measure.unit is None and measure.number.plain and measure.value < 10
    ends = talk.at(measure.end) in (",", ".", "", "so") and measure.number.plain
    if (
        few
        and not ends
        and {"wants", "needs", "want"} & set(talk.norms[cue.start : cue.end])
        and cue.end - cue.start <= 3
    ):
        return None  # "wants two bulbs"
    words = talk.norms[cue.start : cue.end]
    if talk.at(cue.start - 1) in ("within", "inside") and talk.at(cue.end) in ("at", "with", ",", "."):
        return None  # "within limits at 4.8"
    if words == ["you", "need"]:
        return None  # "over the 1.5 you need"
    between = talk.norms[cue.end : measure.start]
    if between == [":"]:
        return measure
    if between == [","] and talk.at(cue.start - 1) in (".", "", "same"):
        return measure  # "Service limit, 0.04."
    named = {i for m in _names(talk, cue.end, measure.start) for i in range(m.start, m.end)}
    between = [w for i, w in enumerate(between, cue.end) if i not in named]
    leads = all(w in _LEADS or w in _LIMIT_WORDS or w == "same" for w in between)
    return measure if leads and len(between) <= _REACH + bool(named) else None


def _names(talk: Talk, start: int, end: int) -> list[Mention]:
    """ "minimum on the rear disc is 5", "book gap is 0.8": what is named between a cue and its figure."""
    return [m for family in ("part", "shared", "quantity") for m in talk.between(talk.of(family), start, end)]


def _figure_before(talk: Talk, cue: Mention) -> Measure | None:
    """ "five minimum", "two is your limit", "thirty-six is what the sticker says"."""
    end, linked = cue.start, talk.at(cue.start) in _BE
    named = talk.at(cue.start) in _WHO and talk.at(cue.start + 1) in _OUGHT
    if named or (talk.at(cue.start) in _OUGHT and talk.at(end - 1) in _WHO):
        given = next(iter(talk.ending(talk.measures, end - (not named))), None)
        return given if given and talk.at(given.start - 1) == "the" else None  # "the 36 it should have"
    while talk.at(end - 1) in _BEFORE_CUE:
        end -= 1
        linked = linked or talk.at(end) in _BE
    led = talk.at(cue.start) in ("in", "by", "per", "from", "on")
    if talk.norms[cue.start : cue.end] == ["legal"]:
        return None
    if cue.id not in ("low", "high", "bare") and not led and not linked:
        return None
    following = next(iter(talk.between(talk.measures, cue.end, cue.end + _REACH + 2)), None)
    stopped = following is None or bool({".", ";", ","} & set(talk.norms[cue.end : following.start]))
    if talk.at(cue.end) in _GOES_ON and not linked and not stopped:
        return None  # "two and a half wear limit on those is one"
    apart = end - (talk.at(end - 1) == "," and talk.at(cue.end) in (".", "") and cue.id == "bare")
    return next(iter(talk.ending(talk.measures, apart)), None)


def _as_given(talk: Talk, cue: Mention) -> Measure | None:
    """ "blew it up to 36, which is what the sticker asks for": the figure is the limit as well."""
    words = [talk.at(i) for i in range(cue.start - 4, cue.start + 2)]
    if "what" not in words:
        return None
    return next(
        (
            m
            for m in reversed(talk.between(talk.measures, cue.start - 16, cue.start))
            if 0 <= cue.start - m.end <= 6 and m.role == "value"
        ),
        None,
    )


def _two_ends(talk: Talk, cue: Mention, measure: Measure, said: LimitSaid) -> LimitSaid:
    """ "1,100 plus or minus 100" and "limits 8 and 12" are ranges."""
    words = [talk.at(i) for i in range(measure.end, measure.end + 3)]
    give = next(iter(talk.starting(talk.measures, measure.end + 3)), None)
    upper = next(iter(talk.starting(talk.measures, measure.end + 1)), None)
    if words == ["plus", "or", "minus"] and give and said.target is not None:
        give.role = "limit"
        said.low, said.high = said.target - give.value, said.target + give.value
        said.target, said.measure, said.end = None, None, give.end
        said.unit = said.unit or give.unit
    elif words[0] == "and" and upper and talk.at(cue.end - 1) == "limits" and measure.high is None:
        upper.role = "limit"
        said.low, said.high = sorted((measure.value, upper.value))
        said.bare, said.measure, said.end = None, None, upper.end
        said.unit = said.unit or upper.unit
    return said


def _same_kind(talk: Talk, found: list[LimitSaid], said: LimitSaid) -> LimitSaid:
    """ "against the same 4.5", "so the 1.6 goes for both": the kind is that of the limit said before."""
    again = said.kind in AFTER_FIGURE and said.measure and talk.at(said.measure.start - 1) == "the"
    same = said.measure and talk.at(said.measure.start - 1) == "same"
    if (same or again) and said.target is not None:
        like = next((s for s in reversed(found[-8:]) if said.target in (s.low, s.high, s.bare)), None)
        if like:
            said.low, said.high, said.bare, said.target = like.low, like.high, like.bare, None
    return said


def _limit(talk: Talk, cue: Mention, measure: Measure) -> LimitSaid:
    said = LimitSaid(min(cue.start, measure.start), max(cue.end, measure.end), cue.id, unit=measure.unit)
    said.measure = measure if measure.high is None else None
    side = _SIDES.get(talk.at(measure.start - 1 - (talk.at(measure.start - 1) == "than")), "")
    kind = side if cue.id == "bare" and side and measure.end <= cue.start else cue.id
    if measure.high is not None:
        said.low, said.high = measure.value, measure.high
    elif kind == "low":
        said.low = measure.value
    elif kind == "high":
        said.high = measure.value
    elif kind == "target" or kind in AFTER_FIGURE:
        said.target = measure.value
    else:
        said.bare = measure.value
    return said
