"""Which readings a limit said in the talk belongs to."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from operator import itemgetter
from typing import TYPE_CHECKING

from witnessmark.extract.lookup import Mention
from witnessmark.extract.measures import FAMILIES, KIND_OF, plausible, value_for
from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import LimitSaid
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Limit

if TYPE_CHECKING:
    from witnessmark.extract.reader import Reader

_BOTH_BACK = 4
"""Sentences back to the first of two readings that one limit is of."""
_AT_ONCE = 5
"""Words from a limit to a figure that it leads to."""
_OPENING = 3
"""Words that may stand before a limit that begins a sentence."""


def attach_limits(reader: Reader) -> None:
    """Gives each limit to the readings it was said with: those just before, else the one right after."""
    by_sentence: dict[int, list[tuple[int, Raw]]] = defaultdict(list)
    for order, raw in enumerate(reader.raws):
        by_sentence[reader.talk.sentence_of(raw.end - 1)].append((order, raw))
    for said in reader.talk.limits:
        if reader.talk.clauses[reader.talk.clause_of(said.start)].idle in ("past", "claim"):
            continue  # "last month's sheet says three"
        sentence = reader.talk.sentence_of(said.start)
        back = _BOTH_BACK if _for_both(reader, said) else 1
        near = sorted(
            (r for s in range(sentence - back, sentence + 2) for r in by_sentence[s]), key=itemgetter(0)
        )
        raws = _readings_for(reader, said, [raw for _, raw in near])
        for raw in raws:
            limit = _limit_for(reader, said, raw)
            if limit and (raw.limit is None or raw.limit == limit):
                raw.limit = limit
            elif limit and raw.limit:
                merged = {k: v for k, v in raw.limit.model_dump().items() if v is not None} | {
                    k: v for k, v in limit.model_dump().items() if v is not None
                }
                raw.limit = Limit(**merged)
            if limit and _is_unsure(reader, said):
                raw.doubts.append("limit_unsure")
        if raws and raws[-1].limit and _is_as_set(reader, said):
            _left_at(reader, said, raws[-1])


def _is_unsure(reader: Reader, said: LimitSaid) -> bool:
    """Whether the figure of a limit may have been misheard."""
    figure = said.measure
    return figure is not None and (figure.number.misheard or reader.talk.is_unsure(figure.start, figure.end))


def _is_as_set(reader: Reader, said: LimitSaid) -> bool:
    """ "the book has it at 30, which is what I've set it to"."""
    after = reader.talk.norms[said.end : said.end + 10]
    led = after[1:4] == ["which", "is", "what"] and after[4:6] in (["i", "have"], ["we", "have"])
    return led and after[6:7] in (["set"], ["adjusted"], ["brought"], ["done"], ["left"])


def _left_at(reader: Reader, said: LimitSaid, found: Raw) -> None:
    """The reading left, at the figure that was asked for."""
    if found.limit is None or found.limit.target is None or found.phase != "found":
        return
    left = replace(found, start=said.start, end=said.end, value=found.limit.target, limit=None, phase="left")
    reader.raws.append(left)


def _readings_for(reader: Reader, said: LimitSaid, near: list[Raw]) -> list[Raw]:
    sentence = reader.talk.sentence_of(said.start)
    numeric = [r for r in near if r.quantity in KIND_OF and not r.dropped and _same_family(r, said)]
    found = [r for r in numeric if r.phase == "found"]
    before = [r for r in found if r.end <= said.start]
    if before and reader.talk.sentence_of(before[-1].end - 1) < sentence - 1:
        before = []
    if said.back and len(before) > said.back:
        return [before[-1 - said.back]]
    after = [r for r in numeric if r.start >= said.start - 8 and r.end > said.end]
    following = [r for r in after if _leads_to(reader, said, r)]
    following = [r for r in following if r is following[0] or _is_twin(reader, said, r, following[0])]
    if before and not _is_of_next(reader, said, before[-1], following):
        return [r for r in before if _shares(reader, r, before[-1], said)]
    return following


def _is_of_next(reader: Reader, said: LimitSaid, last: Raw, following: list[Raw]) -> bool:
    """ "Disc 4.4, minimum 4. Runout, maximum 0.3, reading 0.04": of the reading that it leads to."""
    talk, sentence = reader.talk, reader.talk.sentence_of(said.start)
    here = talk.sentence_of(last.end - 1) == sentence
    if not here and (_starts_new(reader, said, last) or _names_other(reader, said, last)):
        return True
    if not following or talk.sentence_of(following[0].end - 1) != sentence:
        return False
    if here:
        other = following[0].quantity != last.quantity and _names_other(reader, said, last)
        return other or _is_led_in(reader, said, last, following[0])
    named = any(p.component for p in talk.between(talk.parts, said.end, following[0].end))
    return last.limit is not None and following[0].phase == "found" and not named


def _is_led_in(reader: Reader, said: LimitSaid, last: Raw, next_: Raw) -> bool:
    """ "... the disc is smooth, minimum's 4 and it's 4.3": of the part named since, whose figure follows."""
    parts = reader.talk.between(reader.talk.parts, last.end, said.start)
    another = any(p.component and p.component != last.target.component for p in parts)
    return (
        another
        and next_.phase == "found"
        and next_.end - said.end <= _AT_ONCE
        and next_.target.component != last.target.component
    )


def _names_other(reader: Reader, said: LimitSaid, last: Raw) -> bool:
    """Whether another quantity than that of a reading is named between it and a limit."""
    named = reader.talk.between(reader.talk.of("quantity"), last.end, said.end)
    other = [m for m in named if m.id in KIND_OF and m.id != "remaining" and not _is_limit_word(reader, m)]
    return bool(other) and other[-1].id != last.quantity


def _is_limit_word(reader: Reader, word: Mention) -> bool:
    """ "wear limit": its wear is no quantity."""
    limits = reader.talk.of("limit")
    return any(c.end > word.start for c in reader.talk.between(limits, word.start - 4, word.start + 1))


def _starts_new(reader: Reader, said: LimitSaid, last: Raw) -> bool:
    """Whether another part or place was named between a reading and a limit of the next sentence."""
    return any(
        p.component and (p.component != last.target.component or (p.ends and last.target.end not in p.ends))
        for p in reader.talk.between(reader.talk.parts, last.end, said.start)
    )


def _leads_to(reader: Reader, said: LimitSaid, raw: Raw) -> bool:
    """Whether a reading that follows a limit can be what it limits."""
    apart = reader.talk.sentence_of(raw.end - 1) - reader.talk.sentence_of(said.start)
    if apart <= 0:
        return True
    opens = said.start - reader.talk.clauses[reader.talk.clause_of(said.start)].start <= _OPENING
    first = reader.talk.clauses[reader.talk.clause_of(said.start)].opener == "."
    between = reader.talk.between(reader.talk.parts, said.end, raw.end)
    return apart == 1 and ((opens and first) or not any(p.component for p in between))


def _for_both(reader: Reader, said: LimitSaid) -> bool:
    words = reader.talk.norms[max(0, said.start - 6) : said.end + 2]
    return any(w in ("both", "either", "each", "pair") for w in words)


def _is_twin(reader: Reader, said: LimitSaid, raw: Raw, first: Raw) -> bool:
    """ "The minimum for both is 4.5: left 4.8, right 4.6": the other of two readings that follow."""
    same = raw.quantity == first.quantity and raw.target.component == first.target.component
    here = reader.talk.sentence_of(raw.end - 1) == reader.talk.sentence_of(first.end - 1)
    return same and here and raw.target != first.target and raw.phase == "found" and _for_both(reader, said)


def _shares(reader: Reader, raw: Raw, last: Raw, said: LimitSaid) -> bool:
    """A limit said once for two sides goes to both."""
    if raw is last:
        return True
    both = _for_both(reader, said)
    same = raw.quantity == last.quantity and raw.target.component == last.target.component
    near = reader.talk.sentence_of(raw.end - 1) == reader.talk.sentence_of(last.end - 1)
    twins = raw.start == last.start or (raw.target != last.target and raw.target.side != last.target.side)
    return same and raw.limit is None and (both or (near and twins))


def _same_family(raw: Raw, said: LimitSaid) -> bool:
    if said.unit is None:
        return True
    return FAMILIES.get(said.unit) == FAMILIES.get(raw.unit or "") or raw.unit is None


def _limit_for(reader: Reader, said: LimitSaid, raw: Raw) -> Limit | None:
    """A limit in the unit of its reading, a bare one placed low or high by what it limits."""
    low, high, target, bare = said.low, said.high, said.target, said.bare
    if said.measure and len(said.measure.number.parts) > 1 and raw.quantity:
        meant = value_for(said.measure, raw.quantity, said.unit or raw.unit)  # "thirteen eight"
        low, high, target, bare = (None if x is None else meant for x in (low, high, target, bare))
    if bare is not None:
        if raw.quantity in vocabulary().high_limits:
            high = bare
        else:
            low = bare
    scale = 1.0
    if said.unit and raw.unit and said.unit != raw.unit:
        from witnessmark.units import convert

        try:
            scale = convert(1.0, said.unit, raw.unit)
        except ValueError:
            return None
    if raw.denominator and said.unit is None:
        scale = 1 / raw.denominator if (low or high or target or 0) >= 1 else 1.0

    def fit(x: float | None) -> float | None:
        return None if x is None else x * scale

    limit = Limit(low=fit(low), high=fit(high), target=fit(target))
    return limit if _can_limit(raw, limit) else None


def _can_limit(raw: Raw, limit: Limit) -> bool:
    """Whether the figures of a limit could be read there: 36 limits no tread."""
    figures = [x for x in (limit.low, limit.high, limit.target) if x]
    return raw.quantity is None or all(plausible(raw.quantity, x, raw.unit) for x in figures)
