"""Limits and specifications that the technician says."""

from __future__ import annotations

from witnessmark.extract.lookup import Mention
from witnessmark.extract.talk import LimitSaid, Measure, Talk
from witnessmark.knowledge.grammar import words as word_set

_LEADS = word_set("limit_leads")
_BEFORE_CUE = frozenset(["is", "the", "'s", "a", "our"])


def find_limits(talk: Talk) -> list[LimitSaid]:
    """Limits and specifications; their figures are marked as such in ``talk.measures``."""
    found = []
    cues = talk.of("limit")
    for at, cue in enumerate(cues):
        following = cues[at + 1] if at + 1 < len(cues) else None
        measure = _figure_after(talk, cue)
        if measure and following and following.start < measure.start:
            continue
        if measure is None and cue.id == "target" and (same := _as_given(talk, cue)):
            said = _limit(cue, same)
            said.start = cue.start
            found.append(said)
            continue
        measure = measure or _figure_before(talk, cue)
        if measure and measure.role == "value":
            measure.role = "limit"
            found.append(_tolerance(talk, measure, _limit(cue, measure)))
        elif (
            cue.id in ("low", "high")
            and found
            and found[-1].target is not None
            and cue.start == found[-1].end
        ):
            said = found[-1]
            said.low, said.high = (said.target, None) if cue.id == "low" else (None, said.target)
            said.target, said.kind = None, cue.id
    return found


def _figure_after(talk: Talk, cue: Mention) -> Measure | None:
    for measure in talk.measures:
        if measure.start > cue.start and measure.end > cue.end:
            few = measure.unit is None and measure.number.plain and measure.value < 10
            if few and talk.at(cue.start) in ("wants", "needs") and cue.end - cue.start <= 2:
                return None  # "wants two bulbs"
            between = [talk.at(i) for i in range(cue.end, measure.start)]
            if between == [","] and talk.at(cue.start - 1) in (".", ""):
                return measure  # "Service limit, 0.04."
            near = len(between) <= 4 and all(w in _LEADS or _is_limit_word(talk, w) for w in between)
            return measure if near else None
    return None


def _is_limit_word(talk: Talk, word: str) -> bool:
    return word in (
        "minimum",
        "maximum",
        "limit",
        "limits",
        "between",
        "from",
        "no",
        "more",
        "less",
        "than",
        "least",
    )


def _figure_before(talk: Talk, cue: Mention) -> Measure | None:
    if cue.id not in ("low", "high", "bare") and talk.at(cue.start) not in ("in", "by", "per", "from"):
        return None
    end = cue.start
    while talk.at(end - 1) in _BEFORE_CUE:
        end -= 1
    return next(iter(talk.ending(talk.measures, end)), None)


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


def _tolerance(talk: Talk, measure: Measure, said: LimitSaid) -> LimitSaid:
    """ "1,100 plus or minus 100" is a range."""
    words = [talk.at(i) for i in range(measure.end, measure.end + 3)]
    give = next(iter(talk.starting(talk.measures, measure.end + 3)), None)
    if words == ["plus", "or", "minus"] and give and said.target is not None:
        give.role = "limit"
        said.low, said.high = said.target - give.value, said.target + give.value
        said.target, said.measure, said.end = None, None, give.end
        said.unit = said.unit or give.unit
    return said


def _limit(cue: Mention, measure: Measure) -> LimitSaid:
    said = LimitSaid(min(cue.start, measure.start), max(cue.end, measure.end), cue.id, unit=measure.unit)
    said.measure = measure if measure.high is None else None
    if measure.high is not None:
        said.low, said.high = measure.value, measure.high
    elif cue.id == "low":
        said.low = measure.value
    elif cue.id == "high":
        said.high = measure.value
    elif cue.id == "target":
        said.target = measure.value
    else:
        said.bare = measure.value
    return said
