"""Part names: headings, subjects, lists of subjects, and parts that are only asides."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.asides import is_aside, note_handled, widen
from witnessmark.extract.bare import ellipsis, read_place, so_is
from witnessmark.extract.belonging import ON_A_LEG, belongs, borrow_leg, borrow_place, narrows
from witnessmark.extract.controls import places_switch, read_lone_control, take_control
from witnessmark.extract.headings import is_heading, opens_clause, opens_stretch, stands_alone
from witnessmark.extract.lacking import is_lacking
from witnessmark.extract.listing import joins, own_predicate
from witnessmark.extract.repeated import goes_along, last_raws, say_again, say_all_again
from witnessmark.extract.talk import Part, Target
from witnessmark.knowledge.grammar import words as word_set

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.raw import Raw
    from witnessmark.extract.reader import Reader

_INVERTED = word_set("inverted")
_SOME = {("some",), ("a", "little"), ("a", "bit"), ("a", "touch"), ("a", "trace"), ("plenty",), ("loads",)}


def read_part(reader: Reader, index: int, event: Event) -> None:
    """Takes a part as subject, heading, one of a list, control of a lamp, or aside."""
    part = event.part
    if part is None or index in reader.bound:
        return
    if part.word == "zone":
        reader.where.head(part)
        reader.open_list = False
        return
    if part.component is None:
        read_place(reader, index, event, part)
        return
    if _is_its_own(reader, event, part):
        return
    if is_lacking(reader, event, part) or _is_there_instead(reader, event, part):
        return
    if places_switch(reader, event, part) or belongs(reader, index, event, part):
        return
    if read_lone_control(reader, event, part) or take_control(reader, event, part):
        return
    if is_aside(reader, event):
        note_handled(reader, event, part)
        widen(reader, index, event, part)
        return
    if opens_stretch(reader, event, part):
        reader.where.head(part)
        reader.where.targets(part)
        reader.open_list = False
        return
    if _trailing_legs(reader, event, part):
        return
    borrow_place(reader, index, event, part)
    borrow_leg(reader, event, part)
    if _elliptic(reader, index, event, part) or _goes_along(reader, index, event, part):
        return
    joined = reader.open_list and joins(reader, index, event) and not narrows(reader, index, part)
    before = reader.where.focus
    heading = is_heading(reader, index, event) and opens_clause(reader, event)
    if (
        reader.open_list
        and not joined
        and part.component == "wheel"
        and len(part.ends) == 1
        and stands_alone(reader, event)
    ):
        reader.where.only_place(part.ends[0])
        return
    if heading:
        reader.where.head(part)
    whole = reader.talk.at(event.end) == "itself"  # "the bar end is bent, the handlebar itself is straight"
    targets = reader.where.targets(part, reader.same_sentence(event) and not whole)
    if joined and part.sides and part.end > part.head[1]:
        before = tuple(Target(t.component, t.end, t.side or part.sides[0]) for t in before)
    if joined:
        reader.where.focus = tuple(dict.fromkeys((*before, *targets)))
    else:
        reader.subject_at = event.start
    reader.subject_clause = event.clause
    reader.open_list = True


def _elliptic(reader: Reader, index: int, event: Event, part: Part) -> bool:
    """ "main beam works, dip doesn't": what was just said, or its contrary, holds of another part."""
    inverted = reader.talk.norms[max(0, event.start - 2) : event.start]
    if len(inverted) == 2 and inverted[1] in _INVERTED:
        same = last_raws(reader, event)
        if inverted[0] in ("so", "neither", "nor") and same and same[-1].condition:
            so_is(reader, part, inverted[0] == "so")
            return True
    at = event.end + (reader.talk.at(event.end) in ("itself", "themselves"))
    verb = reader.talk.at(at)
    has = verb in ("has", "have") and reader.talk.at(at + 1) == "not"
    if verb in ("has", "have") and reader.talk.at(at + 1) == "none":
        return _has_none(reader, index, event, part)
    if verb in ("has", "have") and _has_some(reader, at + 1, event):
        so_is(reader, part, polarity=True)
        return True
    bare_not = verb == "not" and reader.talk.at(at + 1) in (".", ",", "")  # "dip works, main not"
    if not (verb in ("is", "are", "does", "do") or has or bare_not) or own_predicate(reader, index, event):
        return False
    polarity = ellipsis(reader, event)
    last = last_raws(reader, event) or _said_just_before(reader, event)
    if polarity is None or not last or not last[-1].condition:
        return False
    so_is(reader, part, polarity)
    return True


def _trailing_legs(reader: Reader, event: Event, part: Part) -> bool:
    """ "Fork seals are dry, both legs.": only where the seals are that were spoken of."""
    focus = reader.where.focus[0].component if reader.where.focus else ""
    family = focus in ON_A_LEG and part.component == "fork" and focus != "fork"
    alone = reader.talk.at(event.start - 1) == "," and reader.talk.at(event.end) in (".", ",", "", ";")
    return family and alone and bool(part.word or part.sides) and not reader.open_list


def _said_just_before(reader: Reader, event: Event) -> list[Raw]:
    """ "Tail light works. Plate light doesn't.": what was said before, of one more."""
    sentence = reader.talk.sentence_of(event.start)
    alone = reader.talk.at(event.start - 1) in (".", "", "!")
    works = [r for r in reader.since(sentence - 1) if r.condition == "sound" and not r.dropped]
    verb = reader.talk.at(event.end) in ("does", "do")
    return works[-1:] if alone and verb and works and works[-1] is reader.raws[-1] else []


def _is_its_own(reader: Reader, event: Event, part: Part) -> bool:
    """ "The centre stand has a spring missing": a small part of what is spoken of."""
    has = reader.talk.at(event.start) in ("a", "one", "two", "its") and reader.talk.at(event.start - 1) in (
        "has",
        "got",
        "have",
    )
    gone = reader.talk.at(event.end) in ("missing", "gone", "loose", "broken", "off", "snapped")
    return has and gone and part.component in ("spring", "fasteners") and reader.same_sentence(event)


def _is_there_instead(reader: Reader, event: Event, part: Part) -> bool:
    """ "No leak at the left seal, there's one at the right seal": what was denied is there."""
    before = reader.talk.norms[max(0, event.start - 5) : event.start]
    led = before[-1:] and before[-1] in ("at", "on", "in", "by")
    if not led or before[-2:-1] not in (["one"], ["some"], ["plenty"], ["loads"]) or "there" not in before:
        return False
    same = last_raws(reader, event)
    if not same or same[-1].state != "absent":
        return False
    for target in reader.where.targets(part):
        say_again(reader, same[-1], target)
        reader.raws[-1].state = "present"
    return True


def _goes_along(reader: Reader, index: int, event: Event, part: Part) -> bool:
    """ "Engine oil I've changed, and the filter with it": the same work, or defect, of another part."""
    if not goes_along(reader, event) or own_predicate(reader, index, event):
        return False
    last = last_raws(reader, event)
    done = [r for r in last if r.action]
    if done and done[-1].action not in ("replace", "clean", "lubricate", "tighten", "adjust"):
        return False
    if not done and not (last and last[-1].condition):
        return False
    say_all_again(reader, done[-1:] or last, reader.where.targets(part))
    return True


def _has_some(reader: Reader, at: int, event: Event) -> bool:
    """ "No play in the wheel bearing, but the head bearings have a little"."""
    last = last_raws(reader, event)
    amount = reader.talk.norms[at : at + 3]
    end = next((i for i, word in enumerate(amount) if word in (",", ".", "", "though")), len(amount))
    said = tuple(amount[:end]) in _SOME and end < 3
    return said and bool(last) and bool(last[-1].condition) and last[-1].condition != "sound"


def _has_none(reader: Reader, index: int, event: Event, part: Part) -> bool:
    """ "The linkage has play, the swingarm has none"."""
    last = last_raws(reader, event)
    if not last or not last[-1].condition or last[-1].condition == "sound":
        return False
    so_is(reader, part, polarity=False)
    later = reader.events[index + 1] if index + 1 < len(reader.events) else None
    if later and later.start <= event.end + 1:
        reader.bound.add(index + 1)
    return True
