"""Parts named to begin a stretch of the walk, of which nothing is said yet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.knowledge.grammar import words as word_set

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader
    from witnessmark.extract.talk import Part

_PREDICATES = ("condition", "measure", "code", "unseen", "action")
_OPENERS = word_set("openers") | word_set("heading_leads")


def is_heading(reader: Reader, index: int, event: Event) -> bool:
    """Whether nothing is said of a part before the sentence ends or another part is named."""
    sentence = reader.talk.clauses[event.clause].sentence
    for later in reader.events[index + 1 :]:
        if reader.talk.clauses[later.clause].sentence != sentence:
            return True
        if later.kind in _PREDICATES:
            return False
        if later.kind == "part" and later.part and later.part.component:
            between = [reader.talk.at(i) for i in range(event.end, later.start)]
            return not any(w in ("and", "of", "or", ",", "in", "on", "'s", "to", "is") for w in between)
    return True


def opens_stretch(reader: Reader, event: Event, part: Part) -> bool:
    """ "At the rear wheel, the chain had ...": a place to begin from, and no subject."""
    clause = reader.talk.clauses[event.clause]
    lead = [
        w
        for w in reader.talk.norms[clause.start : part.head[0]]
        if w not in ("and", "so", "now", "then", "over", "right", "moving", ",")
    ]
    return (
        clause.opener == "."
        and part.component in ("wheel", "brakes")
        and len(part.ends) == 1
        and not part.sides
        and lead[:1] in (["at"], ["on"], ["onto"], ["to"], ["in"], ["round"], ["with"])
        and reader.talk.at(event.end) == ","
    )


def opens_clause(reader: Reader, event: Event) -> bool:
    """Whether only leading words stand before a part in its clause: not "because the motor ..."."""
    start = reader.talk.clauses[event.clause].start
    before = reader.talk.norms[start : event.start]
    return all(not w.isalpha() or w in _OPENERS for w in before)


def stands_alone(reader: Reader, event: Event) -> bool:
    """Whether marks stand on both sides of a phrase."""
    return reader.talk.at(event.start - 1) in (",", "-", ".", "on") and reader.talk.at(event.end) in (
        ",",
        ".",
        ":",
        "-",
        "",
    )
