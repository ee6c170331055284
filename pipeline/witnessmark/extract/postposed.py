"""A part that is named after what is said of it: "it's had it, that chain"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.listing import take_listed
from witnessmark.extract.said_of import is_nod
from witnessmark.knowledge.grammar import words as word_set

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader

_ENDS = (".", "!", "", ";")
_LINKS = ("is", "'s", "are", "was", "were")
_POINTING = word_set("pointing")
_SAYS = ("condition", "measure", "unseen")


def take_postposed(reader: Reader, index: int, event: Event) -> None:
    """Makes the part that ends a sentence the subject of it, where the sentence named none before."""
    later = _alone_at_end(reader, index, event)
    if later is not None and reader.talk.at(event.end) == ":":
        take_listed(reader, later)
        return
    if later is None or _named_before(reader, event):
        return
    judged = event.mention is not None and event.mention.id == "sound"
    part = reader.events[later].part
    assert part is not None
    pointed = bool(_POINTING & set(reader.talk.norms[part.start - 1 : part.head[0]])) or "both" in part.word
    fronted = reader.talk.at(reader.events[later].end) in _LINKS  # "Tidy, this chain is."
    if (judged and not pointed) or (is_nod(reader, event) and not fronted):
        return  # "Good, rear wheel. Tyre is 2 mm."
    take_listed(reader, later)


def _alone_at_end(reader: Reader, index: int, event: Event) -> int | None:
    """Place of the event of a part that follows, after a mark and up to the end of the sentence."""
    talk = reader.talk
    for at in range(index + 1, min(index + 5, len(reader.events))):
        later = reader.events[at]
        if talk.sentence_of(later.start) != talk.sentence_of(event.start):
            return None
        if later.kind == "part" and later.part and later.part.component:
            if talk.at(later.start - 1) == ":" and talk.at(event.end) == ":":
                return at  # "These are working: dip, main and tail."
            after_mark = talk.at(later.start - 1) in (",", "-", "–", "—")
            goes_on = talk.norms[later.end : later.end + 2] == [",", "and"]
            verb = talk.at(later.end) in _LINKS and talk.at(later.end + 1) in (*_ENDS, ",")
            return at if after_mark and (verb or goes_on or talk.at(later.end) in _ENDS) else None
        if later.kind not in _SAYS:
            return None
    return None


def _named_before(reader: Reader, event: Event) -> bool:
    """Whether the sentence names a part or says something before an event."""
    talk = reader.talk
    sentence = talk.sentence_of(event.start)
    clause = event.clause
    while clause > 0 and talk.clauses[clause - 1].sentence == sentence:
        clause -= 1
    start = talk.clauses[clause].start
    parts = [p for p in talk.between(talk.parts, start, event.end) if p.component or p.ends or p.sides]
    said = [r for r in reader.since(sentence) if r.clause >= clause]
    return bool(parts or said)
