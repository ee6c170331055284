"""Parts that a verb takes, and parts listed one after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.talk import Target
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

PREDICATES = ("condition", "measure", "code", "unseen", "action")
_LINKS = frozenset(("is", "'s", "are", "was", "were"))


def object_of(reader: Reader, index: int, reach: int) -> tuple[Target, ...]:
    """Targets of the part that a verb takes: "could not see the rear pads"."""
    event = reader.events[index]
    for at in range(index + 1, min(index + 3, len(reader.events))):
        later = reader.events[at]
        if later.start < event.end and later.kind == "action":
            continue  # the "check" of "could not check"
        if later.start - event.end > reach or later.kind in PREDICATES:
            return ()
        if reader.talk.clauses[later.clause].sentence != reader.talk.clauses[event.clause].sentence:
            return ()
        between = [reader.talk.at(i) for i in range(event.end, later.start)]
        if later.kind == "part" and later.part and later.part.component:
            stops = (
                "behind",
                "because",
                "with",
                "past",
                "for",
                "but",
                "without",
                "under",
                "until",
                "as",
                "since",
                "where",
                "so",
                ",",
                "and",
                "through",
                "till",
            )
            if any(w in stops for w in between):
                return ()
            return take_listed(reader, at)
    return ()


def take_listed(reader: Reader, at: int) -> tuple[Target, ...]:
    """A part and those listed after it: "the pads or the disc"."""
    targets = take(reader, at)
    while (
        at + 1 < len(reader.events)
        and reader.events[at + 1].kind == "part"
        and joins(reader, at + 1, reader.events[at + 1], taken=True)
    ):
        nearest = reader.events[at + 1]
        if own_predicate(reader, at + 1, nearest) or reader.talk.at(nearest.end) in _LINKS:
            break
        at += 1
        lamps = all(vocabulary().components[t.component].group == "electrics" for t in targets)
        named = take(reader, at)
        if lamps and nearest.part and nearest.part.component == "brakes" and not nearest.part.ends:
            named = (Target("brake_light"),)  # "dip, main, tail and brake"
        targets = (*targets, *named)
    reader.where.focus = targets
    return targets


def take(reader: Reader, index: int) -> tuple[Target, ...]:
    """Binds the part of an event to something said before it; it becomes the subject."""
    event = reader.events[index]
    assert event.part is not None
    reader.bound.add(index)
    targets = reader.where.targets(event.part, same_sentence=True)
    reader.subject_at, reader.subject_clause, reader.open_list = event.start, event.clause, False
    return targets


def joins(reader: Reader, index: int, event: Event, taken: bool = False) -> bool:
    """Whether a part goes with the one before: "fluid and hose are fine".

    Args:
        reader: the reading so far.
        index: place of the event.
        event: the part.
        taken: whether the one before was bound by what stands before it.
    """
    previous = reader.events[index - 1] if index else None
    if previous is None or previous.kind != "part" or (index - 1 in reader.bound and not taken):
        return False
    between = [reader.talk.at(i) for i in range(previous.end, event.start)]
    marks = [w for w in between if w not in ("the", "a", "both", "its", "all", "as", "well")]
    same_sentence = (
        reader.talk.clauses[previous.clause].sentence == reader.talk.clauses[event.clause].sentence
    )
    return (
        bool(marks)
        and same_sentence
        and all(w in (",", "and", "plus", "&", "or", "nor", "also") for w in marks)
    )


def own_predicate(reader: Reader, index: int, event: Event) -> bool:
    """Whether something is said of a bare place in its own clause."""
    for later in reader.events[index + 1 :]:
        if later.clause != event.clause and not (
            later.clause == event.clause + 1 and ends_at_mark(reader, event.clause, event.end)
        ):
            return False
        if later.kind in PREDICATES:
            return True
        if later.kind == "part" and later.part and later.part.component:
            return False
    return False


def ends_at_mark(reader: Reader, clause: int, start: int) -> bool:
    """Whether a clause holds nothing after a token ("rear, 2.4")."""
    here, after = reader.talk.clauses[clause], reader.talk.clauses[clause + 1]
    begins = reader.talk.norms[here.start : start]
    lone = all(
        w
        in (
            ",",
            "and",
            "the",
            "on",
            "in",
            "at",
            "front",
            "rear",
            "left",
            "right",
            "side",
            "hand",
            "back",
            "one",
        )
        for w in begins
    )
    return here.end <= start and lone and after.opener in (",", ":", "-")
