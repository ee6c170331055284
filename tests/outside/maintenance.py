"""Words for defects and parts in maintenance texts of mines: MaintIE (MIT), MWO2KG (Apache-2.0).

Another trade, so the figures say how far a motorcycle lexicon carries. Parts of mining machines are not ours
and none was added; of the defects missed, those that are general English were ("faulty", "defective", "u/s"
and the like), so the recall of defects is no figure for unseen text. A defect is found when a condition of
ours overlaps it (a word for "sound" only when it is denied), a part when a name of ours covers its last word.
"Claimed" are those whose last word ends a phrase of ours. Misheard trade words are not put right: the texts
were typed.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from functools import cache

from witnessmark.extract import pipeline
from witnessmark.extract.lookup import Lookup
from witnessmark.extract.scope import Scopes
from witnessmark.extract.talk import Talk
from witnessmark.extract.tokens import norm_of
from witnessmark.knowledge.lexicon import lexicon
from witnessmark.knowledge.phrases import expand

from .corpora import Figures, path, show, talk_of

Span = tuple[int, int]
Case = tuple[list[str], list[Span], list[Span]]
"""Words, spans of defects, spans of parts."""
FAMILIES = {"defects": ("condition",), "parts": ("part", "shared")}


def maintie(name: str = "published_test_108") -> Iterator[Case]:
    """Texts of MaintIE: undesirable states and physical objects."""
    for text in json.loads(path(f"maintie/{name}.json").read_text("utf-8")):
        found: dict[str, list[Span]] = {"State": [], "PhysicalObject": []}
        for entity in text["entities"]:
            kind = entity["type"].split("/")[0]
            found.setdefault(kind, []).append((entity["start"], entity["end"]))
        yield text["tokens"], found["State"], found["PhysicalObject"]


def mwo2kg(name: str = "test") -> Iterator[Case]:
    """Texts of MWO2KG: observations, and items with consumables."""
    blocks = path(f"mwo2kg/ner_processed_{name}.txt").read_text("utf-8").strip().split("\n\n")
    for block in blocks:
        pairs = [line.rsplit(" ", 1) for line in block.splitlines() if " " in line]
        spans: list[tuple[int, int, str]] = []
        for at, (_, tag) in enumerate(pairs):
            kind = tag.partition("-")[2]
            if tag.startswith("I-") and spans and spans[-1][1] == at and spans[-1][2] == kind:
                spans[-1] = (spans[-1][0], at + 1, kind)
            elif kind:
                spans.append((at, at + 1, kind))
        defects = [(s, e) for s, e, kind in spans if kind == "Observation"]
        yield [w for w, _ in pairs], defects, [(s, e) for s, e, k in spans if k in ("Item", "Consumable")]


@cache
def _phrases(kind: str) -> frozenset[tuple[str, ...]]:
    """Our phrases, word for word."""
    rows = [r for r in lexicon().rows if r.family in FAMILIES[kind]]
    return frozenset(words for row in rows for phrase in row.phrases for words in expand(phrase))


def _is_claimed(words: list[str], kind: str) -> bool:
    """Whether an annotated stretch ends in one of our phrases."""
    norms = tuple(norm_of(w) for w in words)
    return any(norms[at:] in _phrases(kind) for at in range(len(norms)))


@cache
def _lookup() -> Lookup:
    return Lookup()


def _read(words: list[str]) -> tuple[Talk, list[Span]]:
    """A text, and the character span of each of its words."""
    talk = talk_of(" ".join(words), ())
    talk.mentions = _lookup().find(talk.norms)
    for name, component in pipeline().pipeline:
        if name in ("talk_parts", "talk_clauses"):
            component(talk.doc)
    spans, at = [], 0
    for word in words:
        spans.append((at, at + len(word)))
        at += len(word) + 1
    return talk, spans


def _ours(talk: Talk, kind: str) -> list[Span]:
    """Character spans of our defects or parts."""
    scopes = Scopes.of(talk)
    found = []
    for family in FAMILIES[kind]:
        for m in talk.of(family):
            if family != "condition" or m.id != "sound" or scopes.denied(m):
                last = talk.doc[m.end - 1]
                found.append((talk.doc[m.start].idx, last.idx + len(last)))
    return found


def _tally(words: list[str], gold: list[Span], kind: str) -> Counter[str]:
    talk, chars = _read(words)
    ours = _ours(talk, kind)
    tally: Counter[str] = Counter(said=len(ours))
    right = set()
    for start, end in gold:
        first = chars[end - 1 if kind == "parts" else start][0]
        hits = {o for o in ours if o[0] < chars[end - 1][1] and first < o[1]}
        claimed = _is_claimed(words[start:end], kind)
        tally += Counter(gold=1, found=bool(hits), claimed=claimed, claimed_found=claimed and bool(hits))
        right |= hits
    tally += Counter(right=len(right))
    return tally


def measure(errors: bool = False) -> Figures:
    """Recall of all and of those claimed, and precision, by suite and kind."""
    figures: Figures = {}
    for suite in (maintie, mwo2kg):
        for number, kind in enumerate(FAMILIES):
            tally: Counter[str] = Counter()
            for case in suite():
                now = _tally(case[0], case[1 + number], kind)
                tally += now
                if errors and now["found"] < now["gold"]:
                    gold = [" ".join(case[0][s:e]) for s, e in case[1 + number]]
                    print(f"  {suite.__name__} {kind}: {' '.join(case[0])!r} {gold}")
            name = f"{suite.__name__}, {kind}"
            figures |= {
                f"{name}: in the texts": tally["gold"],
                f"{name}: recall": tally["found"] / tally["gold"],
                f"{name}: claimed": tally["claimed"],
                f"{name}: recall of those claimed": tally["claimed_found"] / tally["claimed"],
                f"{name}: precision": tally["right"] / tally["said"],
            }
    return figures


if __name__ == "__main__":
    show(measure)
