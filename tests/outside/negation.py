"""Negation with the concept given, against the 2,376 sentences of the NegEx kit.

The capitalised concept takes the place of a condition; whether a cue rules it out is asked of the product's
scope. Runs of blanks in the sentences are one blank. Misheard trade words are not put right, because words of
another trade would be taken for them. Rows whose concept is not in the sentence count as affirmed. None of
the product's cues or rules is written for the suite's domain.
"""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.extract import pipeline
from witnessmark.extract.lookup import Lookup, Mention
from witnessmark.extract.scope import Scopes
from witnessmark.extract.talk import Talk
from witnessmark.knowledge.lexicon import Row

from .corpora import Figures, rows, scores, show, talk_of

CONCEPT = Row("condition", "concept", (), {"noun": True})
AFTER = ("talk_figures", "talk_parts", "talk_clauses")


def _place(talk: Talk, sentence: str, concept: str) -> tuple[int, int] | None:
    """Tokens of the concept."""
    at = sentence.rfind(concept.upper())
    if at < 0:
        return None
    tokens = [t.i for t in talk.doc if at <= t.idx < at + len(concept)]
    return (tokens[0], tokens[-1] + 1) if tokens else None


def _put(talk: Talk, start: int, end: int) -> Mention:
    """The concept as a condition, instead of what the lexicon found in those tokens."""
    mention = Mention(start, end, (CONCEPT,))
    for kind, found in talk.mentions.items():
        if kind in ("part", "shared", "condition", "action", "place", "zone"):
            talk.mentions[kind] = [m for m in found if m.end <= start or end <= m.start]
    talk.mentions["condition"] = sorted([*talk.of("condition"), mention], key=lambda m: m.start)
    return mention


def read() -> Iterator[tuple[str, str, bool, str | None]]:
    """Concept, sentence, whether the gold says negated, and the words by which we say so."""
    lookup = Lookup()
    steps = [component for name, component in pipeline().pipeline if name in AFTER]
    for _, raw_concept, raw_sentence, negation, *_ in rows("negex_context"):
        concept, sentence = " ".join(raw_concept.split()), " ".join(raw_sentence.split())
        talk = talk_of(sentence, ())
        talk.mentions = lookup.find(talk.norms)
        place = _place(talk, sentence, concept)
        cue = None
        if place:
            mention = _put(talk, *place)
            for step in steps:
                step(talk.doc)
            denial = Scopes.of(talk).denied(mention)
            cue = talk.doc[denial.start : denial.end].text if denial else None
        yield concept, sentence, negation == "negated", cue


def measure(errors: bool = False) -> Figures:
    """Precision, recall and F1 of "negated"."""
    hits = said = gold = right = total = 0
    for concept, sentence, negated, cue in read():
        total, gold, said = total + 1, gold + negated, said + bool(cue)
        hits, right = hits + (negated and bool(cue)), right + (negated == bool(cue))
        if errors and negated != bool(cue):
            print(f"  {'MISS ' if negated else 'FALSE'} {concept!r} {cue or ''!r}: {sentence}")
    precision, recall, both = scores(hits, said, gold)
    return {
        "sentences": total,
        "negated": gold,
        "precision": precision,
        "recall": recall,
        "F1": both,
        "accuracy": right / total,
    }


if __name__ == "__main__":
    show(measure)
