"""Praise that the words after it take back: "works, barely", "sounds weak", "good and black"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.knowledge.grammar import words as word_set

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_ACTING = word_set("acting")
_MOCKING = word_set("mocking")
_RELUCTANT = word_set("reluctant")
_DONE_WELL = word_set("done_well")
_INTENSIFIERS = word_set("intensifiers")


def is_none(reader: Reader, event: Event) -> bool:
    """ "good and black", "sounds weak", "fine until it's hot": no praise at all."""
    talk, at = reader.talk, event.end
    onward = talk.between(reader.events, at, at + 2)
    first = at + (talk.at(at) == "and")
    worse = next((e.mention for e in onward if e.kind == "condition" and e.start == first), None)
    bad = worse is not None and worse.id != "sound"
    if bad and talk.at(at) == "and" and talk.at(at - 1) in _INTENSIFIERS and at - event.start == 1:
        return True
    if bad and talk.at(event.start) in _ACTING and talk.at(at) != "and":
        return True
    likened = talk.norms[at + 1 : at + 6] if talk.at(at) == "as" else []
    return (
        bool(_MOCKING & set(likened))
        or is_wink(reader, event)
        or bool(talk.starting(talk.cues("under_condition"), at))
    )


def is_wink(reader: Reader, event: Event) -> bool:
    """ "good, if you like slicks": said with a wink, in the same sentence."""
    talk = reader.talk
    winks = talk.between(talk.cues("wink"), event.end, event.end + 8)
    return any(talk.sentence_of(w.start) == talk.sentence_of(event.start) for w in winks)


def is_grudging(reader: Reader, event: Event) -> bool:
    """ "works badly", "works, barely", "charges slowly": what is done is not done well."""
    talk, at = reader.talk, event.end
    if talk.at(event.start) not in _ACTING:
        return False
    if talk.at(at) == ",":  # "works, barely", but not "works, half the street looked"
        return talk.at(at + 1) in _RELUCTANT and talk.at(at + 1).endswith("ly")
    word = talk.at(at)
    if word in _RELUCTANT or talk.starting(talk.cues("takes_back"), at):
        return True
    return word.endswith("ly") and word not in _DONE_WELL and len(word) > 4
