"""What was not, or could not be, looked at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.binding import subject_here
from witnessmark.extract.controls import as_switch
from witnessmark.extract.listing import object_of
from witnessmark.extract.raw import Raw
from witnessmark.knowledge.grammar import words as word_set

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_BESIDE = word_set("beside")


def read_unseen(reader: Reader, index: int, event: Event) -> None:
    """Writes down that a part was not, or could not be, seen."""
    before = reader.where.focus
    if event.mention is None or _is_in_the_way(reader, index, event):
        reader.where.focus = before
        return
    covered = reader.talk.at(event.end - 1) in _BESIDE and subject_here(reader, event)
    covered = covered or _is_taken_off(reader, index, event) or _is_fronted(reader, event)
    targets = (() if covered else object_of(reader, index, reach=7)) or reader.where.focus
    for target in targets:
        reader.raws.append(
            Raw(
                as_switch(reader, target),
                reader.evidence_start(event),
                event.end,
                event.clause,
                state="unseen",
                why=["cue:unseen"],
            )
        )
    reader.open_list = False


def _is_fronted(reader: Reader, event: Event) -> bool:
    """ "pads I could not see | rotor scored": what was not seen stands before."""
    talk, at = reader.talk, event.start - 1
    if talk.at(at) not in ("i", "we"):
        return False
    at -= talk.at(at - 1) == ","
    return any(p.component for p in talk.ending(talk.parts, at)) and reader.open_list


def _is_taken_off(reader: Reader, index: int, event: Event) -> bool:
    """ "Air filter, haven't had the tank off": of the part just named; the other one stands in the way."""
    later = next((e for e in reader.events[index + 1 : index + 4] if e.part), None)
    if later is None or not reader.open_list or not reader.same_sentence(event):
        return False
    return reader.talk.at(later.end) in ("off", "out", "apart", "open") and later.start - event.end <= 3


def _is_in_the_way(reader: Reader, index: int, event: Event) -> bool:
    """ "I haven't pulled the seat, so no idea about the battery": the seat only stands in the way."""
    verb = reader.talk.at(event.end - 1)
    later = (
        e for e in reader.events[index + 1 : index + 4] if e.kind == "unseen" and e.start - event.end <= 14
    )
    onward = next(
        (e for e in later if reader.talk.sentence_of(e.start) == reader.talk.sentence_of(event.start)), None
    )
    if onward is None or verb not in (
        "pulled",
        "had",
        "removed",
        "taken",
        "opened",
        "pull",
        "remove",
        "take",
    ):
        return False
    if reader.talk.at(onward.start - 1) in ("'s", "is") and reader.talk.at(onward.start - 2) in (
        "that",
        "it",
    ):
        return True  # "Air filter, didn't pull the tank, so that's not checked"
    return bool(object_of(reader, reader.events.index(onward), reach=7))
