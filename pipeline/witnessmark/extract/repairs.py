"""Corrections in speech: only the last word counts, and what was said first is kept beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract import counts
from witnessmark.extract.bare import say_again
from witnessmark.extract.binding import own_predicate
from witnessmark.extract.measures import FAMILIES
from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import Target
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

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
    if any(c.start in chain for c in reader.talk.cues("swap")) and _swap(reader, event):
        return
    said = [reader.talk.at(i) for i in range(event.start, event.end)]
    if said == ["i", "mean"] and reader.talk.at(event.end) in (".", ""):
        return  # "up to 32, I mean."
    later = _next(reader, index, event)
    last = _last_statement(reader, event)
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
        _replace_figure(reader, index, later, last)
    elif later.kind == "code" and later.code:
        for raw in last:
            if raw.quantity == later.code.quantity:
                raw.dropped = True
    elif later.kind == "condition":
        _replace_condition(reader, later, last, strong)
    elif later.kind == "part" and later.part:
        _replace_part(reader, later, last, strong)


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
        if named and named.component and not _said_in_sentence(reader, at + 1):
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
        if later.kind in ("correct", "action") or reader.talk.clauses[later.clause].idle:
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


def _first_words(reader: Reader, raws: list[Raw]) -> str:
    start, end = min(r.start for r in raws), max(r.end for r in raws)
    return str(reader.talk.doc[start:end].text)


def _replace_figure(reader: Reader, index: int, later: Event, last: list[Raw]) -> None:
    """ "2 mm, make that 3": the figure said last stands, with the first one's part, quantity and unit."""
    measure = later.measure
    assert measure is not None
    family = FAMILIES.get(measure.unit or "")
    readings = [r for r in last if r.quantity and not isinstance(r.value, str)]
    readings = [r for r in readings if family is None or FAMILIES.get(r.unit or "") == family]
    if not readings:
        if last[-1].bare and last[-1].quantity and later.start - reader.events[index].end <= 3:
            last[-1].dropped = True  # "seven... no, six thirty-seconds"
        return
    anchor = readings[-1]
    named = [
        p
        for p in reader.talk.between(reader.talk.parts, reader.events[index].end, later.start)
        if p.component
    ]
    if named and named[-1].component != anchor.target.component:
        return
    value = measure.value
    for raw in [r for r in readings if r.start == anchor.start and r.value == anchor.value]:
        raw.said_first = f"{raw.value:g}"
        unit = measure.unit or raw.unit
        from witnessmark.extract.measures import value_for

        assert raw.quantity is not None
        value = value_for(measure, raw.quantity, unit)
        if raw.denominator and measure.unit is None and measure.number.plain:
            value = value / raw.denominator
        raw.value, raw.unit, raw.end = value, unit, later.end
        raw.doubts.append("corrected_in_speech")
    measure.role = "used"


def _replace_condition(reader: Reader, later: Event, last: list[Raw], strong: bool) -> None:
    """ "some play, scratch that, no play"."""
    assert later.mention is not None
    ids = {r.id for r in later.mention.rows}
    before = reader.talk.norms[later.start - 3 : later.start]
    renamed = {"that", "it"} & set(before) and {"'s", "is"} & set(before)
    if renamed and reader.talk.at(later.end) not in ("too", "also", "as") and last[-1].condition:
        last[-1].dropped = True  # "cracked, no wait, that's a scratch"
    for raw in last:
        if raw.condition is None:
            continue
        opposite = raw.condition in ids or "sound" in ids or raw.condition == "sound"
        if (strong or opposite) and raw.target in reader.where.focus:
            raw.dropped = True


def _replace_part(reader: Reader, later: Event, last: list[Raw], strong: bool) -> None:
    """ "left, no, right": the place or the part of what was said changes."""
    part = later.part
    assert part is not None
    index = reader.events.index(later)
    own = own_predicate(reader, index, later)
    if part.component is None:
        _replace_place(reader, index, later, last, own)
        return
    own = own or _said_in_sentence(reader, index)
    last = [r for r in last if r.clause == last[-1].clause]
    same = [r for r in last if r.target.component == part.component]
    if own:
        again = _said_again(reader, index, same)
        for raw in same or (last if strong else []):
            if raw.state is not None or strong or again:
                raw.dropped = True
        return
    moved = (
        bool(same) and (part.ends != _ends(same) or part.sides != _sides(same)) and (part.ends or part.sides)
    )
    if last and (not same or moved):
        anchor = last[-1]
        said = _first_words(reader, last)
        targets = reader.where.targets(part)
        reader.bound.add(index)
        for raw in [r for r in last if r.target == anchor.target]:
            raw.target = targets[0]
            raw.said_first = said
            raw.doubts.append("corrected_in_speech")


def _said_again(reader: Reader, index: int, raws: list[Raw]) -> bool:
    """ "Rear tyre needs replacing. No, sorry, the front tyre needs replacing.": the same of another place."""
    later = next((e for e in reader.events[index + 1 :] if e.kind in ("action", "condition", "part")), None)
    if later is None or later.mention is None:
        return False
    said = {r.action for r in raws} | {r.condition for r in raws}
    return any(row.id in said for row in later.mention.rows)


def _ends(raws: list[Raw]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(r.target.end for r in raws if r.target.end))


def _sides(raws: list[Raw]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(r.target.side for r in raws if r.target.side))


def _said_in_sentence(reader: Reader, index: int) -> bool:
    """Whether the sentence goes on to say something of a part: "Rear pads, 3 mm."."""
    here = reader.talk.sentence_of(reader.events[index].start)
    for later in reader.events[index + 1 :]:
        if later.kind in ("part", "correct") or reader.talk.sentence_of(later.start) != here:
            return False
        if later.kind in ("measure", "condition", "code", "action"):
            return True
    return False


def _replace_place(reader: Reader, index: int, later: Event, last: list[Raw], own: bool) -> None:
    part = later.part
    assert part is not None
    anchor = last[-1]
    if own and not (part.ends or part.sides):
        return
    said = _first_words(reader, last)
    takes_end = vocabulary().components[anchor.target.component].takes_end
    end = (part.ends[0] if part.ends else anchor.target.end) if takes_end else None
    side = part.sides[0] if part.sides else anchor.target.side
    target = Target(anchor.target.component, end, side)
    if own:
        for raw in [r for r in last if r.target.component == anchor.target.component]:
            raw.dropped = True
        return
    for raw in [r for r in last if r.target == anchor.target]:
        raw.target, raw.said_first = target, said
        raw.doubts.append("corrected_in_speech")
    reader.where.focus = (target,)
    reader.where.spoken.append(target)
    if part.ends:
        reader.where.local = part.ends[0]
    reader.bound.add(index)
