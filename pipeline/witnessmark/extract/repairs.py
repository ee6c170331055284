"""Corrections in speech: only the last word counts, and what was said first is kept beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract import counts
from witnessmark.extract.raw import Raw
from witnessmark.extract.repeated import say_again
from witnessmark.extract.replacements import (
    replace_condition,
    replace_figure,
    replace_part,
    said_in_sentence,
    withdraw_for_else,
)
from witnessmark.knowledge.grammar import words as word_set

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_STRONG = word_set("corrects_surely")
_REACH = 14


def repair(reader: Reader, index: int, event: Event) -> None:
    """Applies a correction cue to what was said before it, by what follows it."""
    previous = reader.events[index - 1] if index else None
    if previous and previous.kind == "correct" and event.start - previous.end <= 3:
        return
    chain = range(event.start, _chain_end(reader, index))
    swaps = reader.talk.between(reader.talk.cues("swap"), chain.start, chain.stop + 3)
    swaps = [c for c in swaps if "." not in reader.talk.norms[event.end : c.start]]
    if swaps and _swap(reader, event):
        return
    said = [reader.talk.at(i) for i in range(event.start, event.end)]
    at = _chain_end(reader, index)
    at += reader.talk.at(at) == ","
    if reader.talk.norms[at : at + 3] in (["i", "have", "not"], ["i", "did", "not"], ["we", "have", "not"]):
        for raw in reader.raws[-2:]:
            raw.dropped = raw.dropped or (raw.action is not None and raw.status == "done")
        return  # "I've replaced... no, I haven't, I've only marked it"
    if reader.talk.norms[at : at + 2] in (["it", "does"], ["they", "do"]) and reader.raws:
        dead = reader.raws[-1]
        if dead.condition == "inoperative" and not dead.dropped:
            dead.condition = "sound"
            dead.doubts.append("corrected_in_speech")
            return  # "From the lever, nothing. No wait, it does"
    if said == ["i", "mean"] and reader.talk.at(event.end) in (".", ""):
        return  # "up to 32, I mean."
    later = _next(reader, index, event)
    last = _last_statement(reader, event)
    if withdraw_for_else(reader, event, _chain_end(reader, index), last):
        return
    if later is None:
        return
    if (
        reader.open_list
        and later.kind == "part"
        and later.part
        and later.part.component is None
        and _named_here(reader, event)
    ):
        _replace_subject(reader, index, later)
        return
    renamed = later.kind == "part" and later.part is not None and later.part.component is not None
    if reader.open_list and renamed and _named_here(reader, event) and said == ["no"]:
        return  # "Primary, no, I mean the engine": only another subject
    if not last:
        return
    if (
        later.kind == "part"
        and later.part
        and later.part.component
        and _denies_part(reader, index, later, last)
    ):
        return
    strong = any(reader.talk.at(i) in _STRONG for i in range(event.start, _chain_end(reader, index)))
    if (
        later.kind == "condition"
        and last[-1].quantity
        and (figure := _figure_soon(reader, index, event, strong))
    ):
        reader.bound.update(range(index + 1, reader.events.index(figure)))
        later = figure
    if later.kind == "measure" and later.measure:
        replace_figure(reader, index, later, last)
    elif later.kind == "code" and later.code:
        for raw in last:
            if raw.quantity == later.code.quantity:
                raw.dropped = True
    elif later.kind == "condition":
        replace_condition(reader, later, last, strong)
    elif later.kind == "part" and later.part:
        replace_part(reader, later, last, strong)


def _denies_part(reader: Reader, index: int, later: Event, last: list[Raw]) -> bool:
    """ "no, it's not the swingarm, it's the linkage"; "no, that's wash water off the swingarm"."""
    part, talk = later.part, reader.talk
    if part is None or part.component is None:
        return False
    at = reader.events.index(later)
    lead = talk.norms[reader.events[index].end : part.start]
    same = [r for r in last if r.target.component == part.component and r.is_observation]
    if lead[-1:] == ["not"] and same:
        onward = reader.events[at + 1] if at + 1 < len(reader.events) else None
        for raw in same:
            raw.dropped = True
        reader.bound.add(at)
        named = onward.part if onward and onward.kind == "part" and onward.start - later.end <= 4 else None
        if named and named.component and not said_in_sentence(reader, at + 1):
            for target in reader.where.targets(named):
                for raw in same:
                    say_again(reader, raw, target)
            reader.bound.add(at + 1)
        return True
    other = {"off", "from"} & set(lead[-1:]) or (
        lead[-1:] in (["in"], ["on"]) and {"a", "just", "only"} & set(lead)
    )
    if other and last[-1].is_observation and last[-1].condition != "sound":
        for raw in last:
            raw.dropped = raw.dropped or raw.condition == last[-1].condition
        reader.bound.add(at)
        return True
    return False


def _swap(reader: Reader, event: Event) -> bool:
    """ "front has 6, rear has 4. No, other way about": the two places change over."""
    sentence = reader.talk.clauses[event.clause].sentence
    live = reader.since(sentence - 2)
    if not live:
        return False
    one = live[-1]
    same = [r for r in live if r.target.component == one.target.component and r.target != one.target]
    same = [r for r in same if r.quantity == one.quantity and bool(r.condition) == bool(one.condition)]
    if not same:
        return False
    other = same[-1]
    pair = {one.target: other.target, other.target: one.target}
    for raw in live:
        if raw.target in pair and raw.clause in (one.clause, other.clause):
            raw.said_first = str(reader.talk.doc[raw.start : raw.end].text)
            raw.target = pair[raw.target]
            raw.doubts.append("corrected_in_speech")
    return True


def _chain_end(reader: Reader, index: int) -> int:
    """Where a run of correction cues ends: "no, wait, scratch that"."""
    end = reader.events[index].end
    for later in reader.events[index + 1 :]:
        if later.kind != "correct" or later.start - end > 3:
            break
        end = later.end
    return end


def _next(reader: Reader, index: int, event: Event) -> Event | None:
    """What follows a cue, other cues and asides skipped."""
    for later in reader.events[index + 1 :]:
        if later.start - event.end > _REACH:
            return None
        counted = later.kind == "measure" and later.measure and later.measure.unit is None
        counted = counted and later.start - _chain_end(reader, index) > 1  # "I mean forty-five"
        less = later.kind == "except" and reader.talk.at(later.start) in ("only", "just")
        if less or later.kind in ("correct", "action") or reader.talk.clauses[later.clause].idle:
            continue
        if not counted or counts.is_figure(reader, reader.events.index(later), later):
            return later
    return None


def _named_here(reader: Reader, event: Event) -> bool:
    """Whether the subject was named in this sentence and nothing said of it yet."""
    clauses = reader.talk.clauses
    return (
        reader.subject_clause >= 0
        and clauses[reader.subject_clause].sentence == clauses[event.clause].sentence
    )


def _replace_subject(reader: Reader, index: int, later: Event) -> None:
    """ "front brake cable, sorry, rear, was seized": the place of what is spoken of changes."""
    part = later.part
    assert part is not None
    reader.bound.add(reader.events.index(later))
    if part.ends or part.sides:
        reader.where.targets(part)


def _figure_soon(reader: Reader, index: int, event: Event, strong: bool) -> Event | None:
    """ "..., I tell a lie, I had the gauge skewed, that's 2.5": the figure that an aside is about."""
    leads = ("'s", "is", "it", ",", ".") if strong else (".",)
    for later in reader.events[index + 1 :]:
        if later.start - event.end > _REACH or (later.kind == "part" and later.part and later.part.component):
            return None
        if later.kind == "measure" and reader.talk.at(later.start - 1) in leads:
            return later
    return None


def _last_statement(reader: Reader, event: Event) -> list[Raw]:
    """What was said in the last clause that said something, at most two sentences back."""
    sentence = reader.talk.clauses[event.clause].sentence
    live = reader.since(sentence - 2)
    if not live:
        return []
    anchor = live[-1]
    return [
        r
        for r in live
        if reader.talk.clauses[r.clause].sentence == reader.talk.clauses[anchor.clause].sentence
    ]
