"""Questions and customers' claims that the next words answer.

"Is it binding? It is not." and "He says they clunk. He's right, they do."
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from witnessmark.knowledge.grammar import words as word_set

if TYPE_CHECKING:
    from witnessmark.extract.reader import Reader

_SUBJECTS = word_set("answer_subjects")
_VERBS = word_set("answer_verbs")
_YES = word_set("answer_yes")
_NO = word_set("answer_no")


def settle(reader: Reader) -> None:
    """Lets in what was asked or claimed when the next sentence says yes; denies it when that says no."""
    for raw in reader.raws:
        if not raw.asked or raw.condition == "sound":
            continue
        answer = _answer(reader, reader.talk.sentence_of(raw.end - 1) + 1)
        if answer is None:
            continue
        raw.dropped, raw.state = False, "present" if answer else "absent"


def take_back(reader: Reader) -> None:
    """ "Pads look fine, but they aren't.": a part called sound in the clauses before is not."""
    for index, clause in enumerate(reader.talk.clauses):
        words = [w for w in reader.talk.norms[clause.start : clause.end] if w not in (",", "but", "and", ".")]
        denies = len(words) == 3 and words[0] in _SUBJECTS and words[1] in _VERBS and words[2] == "not"
        if not denies or words[0] == "there" or clause.idle:
            continue
        last = [r for r in reader.since(clause.sentence) if r.clause < index and r.is_observation]
        for raw in [r for r in last if r.end == last[-1].end and r.condition == "sound"]:
            raw.condition = raw.denied or raw.condition
            raw.dropped = raw.condition == "sound"


def _answer(reader: Reader, sentence: int) -> bool | None:
    """What the beginning of a sentence answers: yes, no, or nothing."""
    clauses = [c for c in reader.talk.clauses if c.sentence == sentence]
    if not clauses:
        return None
    norms = [
        w for w in reader.talk.norms[clauses[0].start : clauses[-1].end] if w not in (",", "and", "well")
    ]
    if not norms:
        return None
    if norms[0] in _SUBJECTS and len(norms) > 1 and norms[1] in _VERBS:
        denied = len(norms) > 2 and norms[2] == "not"
        rest = norms[2 + denied : 3 + denied]
        return (
            not denied
            if not rest or rest[0] in (".", "a", "too", "all", "indeed", "bit", "some", "small")
            else None
        )
    if norms[:3] in (["he", "'s", "right"], ["she", "'s", "right"], ["they", "are", "right"]):
        return True
    if norms[0] in _YES:
        return True
    return False if norms[0] in _NO and norms[1:2] in ([], ["."]) else None
