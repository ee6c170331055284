"""Parts of which it is said that there are none: "no left mirror", "there's no reflector"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.extract.raw import Raw
from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.vocabulary import vocabulary

if TYPE_CHECKING:
    from witnessmark.extract.events import Event
    from witnessmark.extract.reader import Reader
    from witnessmark.extract.talk import Part

_ENDS = (".", "", "!", ";", ",")
_LEADS = word_set("lack_leads")
_TAILS = word_set("lack_tails")


def is_lacking(reader: Reader, event: Event, part: Part) -> bool:
    """Writes a part down as missing, of which "no" is said and nothing after it."""
    talk = reader.talk
    at = event.start
    if talk.at(at - 1) != "no" or part.component is None or talk.at(at - 2) not in _LEADS:
        return False
    closed = talk.at(event.end) in _ENDS or (talk.at(event.end) in _TAILS and not _is_judged(reader, event))
    if not closed:
        return False
    targets = reader.where.targets(part)
    gone = talk.at(event.end) in ("fitted", "there", "on")  # "no horn fitted"
    condition = "missing" if gone else vocabulary().lacking.get(part.component, "missing")
    for target in targets:
        raw = Raw(target, at - 1, event.end, event.clause, condition=condition, state="present")
        raw.why, raw.word = ["cue:deny"], (at - 1, event.end)
        reader.raws.append(raw)
    reader.subject_at, reader.subject_clause, reader.open_list = event.start, event.clause, False
    return True


def _is_judged(reader: Reader, event: Event) -> bool:
    """Whether something else is said in the rest of the clause: "no chain in need of oil"."""
    end = reader.talk.clauses[event.clause].end
    kinds = ("condition", "measure", "action", "unseen")
    return any(e.kind in kinds for e in reader.talk.between(reader.events, event.end, end))
