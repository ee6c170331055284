"""What a correction puts in the place of what was said: a figure, a condition, a part or a place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.listing import own_predicate
from witnessmark.extract.measures import FAMILIES
from witnessmark.extract.raw import Raw
from witnessmark.extract.talk import Target
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader


_ONLY = word_set("only_called")
_NOTHING_BUT = word_set("nothing_but")


def replace_figure(reader: Reader, index: int, later: Event, last: list[Raw]) -> None:
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
    if "said" in reader.talk.norms[max(0, anchor.end - 5) : anchor.end]:
        for raw in reader.raws[-60:]:  # "I said 3 mil, make that 3.5": that said before falls, too
            same = raw.target == anchor.target and raw.quantity == anchor.quantity
            raw.dropped = raw.dropped or (same and raw is not anchor and raw.value == anchor.value)
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


def replace_condition(reader: Reader, later: Event, last: list[Raw], strong: bool) -> None:
    """ "some play, scratch that, no play"."""
    assert later.mention is not None
    ids = {r.id for r in later.mention.rows}
    if (
        is_renamed(reader, later)
        and reader.talk.at(later.end) not in ("too", "also", "as")
        and last[-1].condition
    ):
        last[-1].dropped = True  # "cracked, no wait, that's a scratch"
    for raw in last:
        if raw.condition is None:
            continue
        if not strong and raw.condition in ids and _elsewhere(reader, later):
            continue  # "tight at the front, and, hang on, tight at the rear"
        opposite = raw.condition in ids or "sound" in ids or raw.condition == "sound"
        if (strong or opposite) and raw.target in reader.where.focus:
            raw.dropped = True


def is_renamed(reader: Reader, later: Event) -> bool:
    """ "that's a scratch", "it's only just a scuff": what was said gets another name."""
    at = later.start - 1
    while later.start - at <= 5 and reader.talk.at(at) in _ONLY:
        at -= 1
    return reader.talk.at(at) in ("'s", "is") and reader.talk.at(at - 1) in ("that", "it", "this")


def withdraw_for_else(reader: Reader, event: Event, end: int, last: list[Raw]) -> bool:
    """ "cracked, no wait, that's only mud": what was taken for a defect is something else.

    Args:
        reader: the reading so far.
        event: the correction.
        end: the token after its last word.
        last: what was said before it.
    """
    talk = reader.talk
    at = end + (talk.at(end) == ",")
    named = (
        talk.at(at) in ("that", "it") and talk.at(at + 1) in ("'s", "is") and talk.at(at + 2) in _NOTHING_BUT
    )
    if not named or not last or last[-1].state not in ("present", "unsure") or last[-1].condition == "sound":
        return False
    stop = talk.clauses[talk.clause_of(at + 2)].end
    said = (talk.of("condition"), talk.of("action"), talk.measures, talk.parts)
    if any(talk.between(items, at + 2, stop) for items in said):
        return False
    last[-1].dropped = True
    return True


def _elsewhere(reader: Reader, later: Event) -> bool:
    """Whether a place follows a condition: it was said of somewhere else."""
    places = reader.talk.between(reader.talk.parts, later.end, later.end + 3)
    return any(p.component is None and (p.ends or p.sides) for p in places)


def replace_part(reader: Reader, later: Event, last: list[Raw], strong: bool) -> None:
    """ "left, no, right": the place or the part of what was said changes."""
    part = later.part
    assert part is not None
    index = reader.events.index(later)
    own = own_predicate(reader, index, later)
    if part.component is None:
        replace_place(reader, index, later, last, own)
        return
    own = own or said_in_sentence(reader, index)
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


def said_in_sentence(reader: Reader, index: int) -> bool:
    """Whether the sentence goes on to say something of a part: "Rear pads, 3 mm."."""
    here = reader.talk.sentence_of(reader.events[index].start)
    for later in reader.events[index + 1 :]:
        if later.kind in ("part", "correct") or reader.talk.sentence_of(later.start) != here:
            return False
        if later.kind in ("measure", "condition", "code", "action"):
            return True
    return False


def replace_place(reader: Reader, index: int, later: Event, last: list[Raw], own: bool) -> None:
    """ "left, no, right": the place of what was said changes."""
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


def _first_words(reader: Reader, raws: list[Raw]) -> str:
    start, end = min(r.start for r in raws), max(r.end for r in raws)
    return str(reader.talk.doc[start:end].text)
