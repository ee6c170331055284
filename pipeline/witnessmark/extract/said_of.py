"""Words that judge nothing, or something that is no part."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.binding import subject_here
from witnessmark.knowledge.grammar import words as word_set

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_NOD = word_set("nod")
_NODDING = word_set("nodding")
_PIECES = word_set("pieces")


def is_nod(reader: Reader, event: Event) -> bool:
    """ "Good." or "okay, next": a word of approval that judges nothing."""
    clause = reader.talk.clauses[event.clause]
    words = [w for w in reader.talk.norms[clause.start : event.start] if w not in _NODDING]
    first = reader.talk.at(event.start)
    after = reader.talk.at(event.end)
    alone = event.end - event.start == 1 and first in _NOD and not words and clause.opener == "."
    if alone and after in ("old", "bike", "machine", "thing", "little", "bit", "stuff", "man", "lad", "job"):
        return True  # "Lovely old thing"
    if reader.talk.norms[event.start : event.end + 1] == ["all", "right", ","] and not words:
        return clause.opener == "."
    if first in ("ok", "okay") and _is_passing(reader, event):
        return True
    if first not in _NOD or event.end - event.start > 1 or words:
        return False
    if clause.opener in (".", "...", "-") and (
        event.clause == 0
        or reader.talk.at(event.end)
        in (",", "so", "now", "then", "right", "next", "that", "this", "let", "we", "i")
    ):
        return True
    if reader.talk.at(event.end) in (".", "!", "", ",") and clause.opener == ".":
        return not reader.just_named()
    return not reader.talk.punctuated and reader.talk.at(event.end) in (
        "so",
        "now",
        "next",
        "then",
        "that",
        "this",
        "right",
        "let",
        "we",
    )


def _is_passing(reader: Reader, event: Event) -> bool:
    """ "where's my gauge, okay, 5/32", "the valve cap's missing okay next": goes on, and judges nothing."""
    talk = reader.talk
    figure = bool(talk.starting(talk.measures, event.end + 1)) and talk.at(event.end) == ","
    defect = any(m.id != "sound" for m in talk.ending(talk.of("condition"), event.start))
    return (figure and talk.at(event.start - 1) == ",") or (defect and not talk.punctuated)


def turns(reader: Reader, event: Event) -> bool:
    """ "gone a bit dark", "gone flat": it became so and is not missing."""
    if reader.talk.at(event.end) == "as" and reader.talk.at(event.end + 2) == "as":
        return True  # "has gone as dark as tea"
    return event.end - event.start == 1 and reader.talk.at(event.end) not in (
        ".",
        ",",
        "",
        "and",
        "but",
        "so",
        "again",
        "from",
        "too",
        "on",
        "in",
        "at",
        "now",
        "already",
        "altogether",
        "completely",
        "as",
    )


def is_cured(reader: Reader, event: Event) -> bool:
    """ "I've adjusted them and it's gone": what was wrong is."""
    last = reader.raws[-1] if reader.raws else None
    done = (
        last is not None and last.action is not None and last.status == "done" and event.start - last.end <= 5
    )
    return done and reader.talk.at(event.start - 2) == "it"


def is_spoken_of(reader: Reader, event: Event) -> bool:
    """Whether the clause names its part before a word, or only stands "it" there."""
    clause = reader.talk.clauses[event.clause]
    words = [w for w in reader.talk.norms[clause.start : event.start] if w.isalpha() and w not in _NODDING]
    return subject_here(reader, event) or not set(words) - {"it", "they", "that", "she", "still", "all"}


def is_of_something_else(reader: Reader, event: Event) -> bool:
    """ "The kettle's fine": a subject that is no part and no piece of one."""
    talk, clause = reader.talk, reader.talk.clauses[event.clause]
    if _is_own_thing(reader, event, clause.start):
        return True
    at = clause.start
    while talk.at(at) in _NODDING or talk.at(at) in ("but", "then", ":", "-"):
        at += 1
    article = talk.at(at) in ("the", "my", "his", "her", "our", "your", "a", "an")
    noun, verb = at + article, talk.at(at + article + 1)
    if not article or verb not in ("is", "'s", "was", "are", "were") or noun >= event.start:
        return False
    known = any(
        talk.between(talk.of(f), noun - 2, noun + 1)
        for f in ("part", "shared", "quantity", "place", "condition", "action", "unit")
    )
    return not known and talk.at(noun) not in _PIECES and not talk.between(talk.parts, at - 1, event.start)


def _is_own_thing(reader: Reader, event: Event, start: int) -> bool:
    """ "that was my own watch strap clicking": what was heard is no part."""
    talk, at = reader.talk, start
    while talk.at(at) in _NODDING or talk.at(at) in (",", "but", "no"):
        at += 1
    told = talk.at(at) in ("that", "it", "this") and talk.at(at + 1) in ("was", "is", "'s")
    mine = talk.at(at + 2) in ("my", "his", "her", "our", "your")
    return told and mine and not talk.between(talk.parts, at, event.start)
