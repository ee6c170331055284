"""Spoken self-correction against Disfl-QA (CC BY 4.0), rows of dev and test that correct by a fixed phrase.

The product takes back findings and not words, so what is checked is its correction cues: whether they find
the correction, and whether the words between what is said twice, as they set the bounds, are those replaced.
The bounds are drawn here: the correction repeats a word of what it replaces ("in 1654 no wait in 1466"), asks
anew ("why no wait what"), or stands for as many words as are needed to meet its last one ("southern Germany
no wait northern Germany"), else for one word or one name.
"""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.extract.talk import Talk

from .corpora import Figures, rows, show, talk_of

PHRASES = ("scratch that", "no wait", "make that")
ASKING = frozenset(("how", "what", "when", "where", "which", "who", "whom", "whose", "why"))
BETWEEN = frozenset(
    (",", ".", "or", "uh", "um", "er", "and", "tell", "me", "-", "sorry", "no", "that", "then")
)
REACH, LONGEST = 12, 4


def retracted(talk: Talk, start: int, end: int) -> tuple[int, int]:
    """Tokens that a correction at [start, end) takes back, the correction itself included."""
    norms = talk.norms
    told = "tell" in norms[end : end + 3]
    while start > 0 and norms[start - 1] in BETWEEN:
        start -= 1
    first = end
    while first < len(norms) - 1 and norms[first] in BETWEEN:
        first += 1
    return _begin(talk, start, first, told), first


def _begin(talk: Talk, start: int, first: int, told: bool) -> int:
    """First token of what is replaced, seen from the first word of what replaces it."""
    norms = talk.norms
    asked = max((i for i in range(start) if norms[i] in ASKING), default=0)
    if told or norms[first] in ASKING or (norms[first + 1 : first + 2] and norms[first + 1] in ASKING):
        return asked - 1 if asked and norms[asked - 1] in ("in", "to", "at", "of", "after", "by") else asked
    for at in range(start - 1, max(-1, start - 1 - REACH), -1):
        if norms[at] == norms[first]:
            return at
    for length in range(1, LONGEST):
        if norms[first + length : first + length + 1] == norms[start - 1 : start]:
            return max(0, start - length - 1)
    begin = start - 1
    while begin > 0 and talk.doc[first].text[:1].isupper() and talk.doc[begin - 1].text[:1].isupper():
        begin -= 1
    return max(0, begin)


def _cues(talk: Talk) -> list[tuple[int, int]]:
    """Correction cues, those next to each other as one."""
    spans: list[tuple[int, int]] = []
    for cue in talk.cues("correct"):
        if spans and all(w in BETWEEN for w in talk.norms[spans[-1][1] : cue.start]):
            spans[-1] = (spans[-1][0], cue.end)
        else:
            spans.append((cue.start, cue.end))
    return spans


def _words(text: str) -> set[str]:
    return {w.strip("?.,!'\"").removesuffix("s") for w in text.lower().replace("'s", "").split()} - {""}


def _left(talk: Talk, spans: Sequence[tuple[int, int]]) -> str:
    gone = {i for start, end in spans for i in range(start, end)}
    return "".join(" " if t.i in gone else t.text_with_ws for t in talk.doc)


def measure(errors: bool = False) -> Figures:
    """Shares of rows whose cue is found, whose replaced words are gone, and whose kept words stay."""
    figures: Figures = {}
    total = all_gone = 0
    for phrase in PHRASES:
        cases = [
            (said, meant)
            for split, _, said, meant in rows("disfl_qa")
            if split in ("dev", "test") and phrase in said.lower()
        ]
        found = gone = kept = both = 0
        for said, meant in cases:
            talk = talk_of(said, ("talk_words",))
            at = said.lower().index(phrase)
            cues = [c for c in _cues(talk) if talk.doc[c[0]].idx <= at < talk.doc[c[1] - 1].idx + 1]
            spans = [retracted(talk, *c) for c in cues]
            left = _words(_left(talk, spans))
            replaced = _words(said[:at]) - _words(meant) - BETWEEN
            stay = _words(meant) & _words(said)
            found, out = found + bool(cues), bool(cues) and not replaced & left
            gone, kept, both = gone + out, kept + (stay <= left), both + (out and stay <= left)
            if errors and not (out and stay <= left):
                print(f"  {said!r}\n      meant {meant!r}\n      left  {_left(talk, spans)!r}")
        total, all_gone = total + len(cases), all_gone + gone
        figures |= {
            f"{phrase}: rows": len(cases),
            f"{phrase}: cue found": found / len(cases),
            f"{phrase}: replaced words gone": gone / len(cases),
            f"{phrase}: words meant still there": kept / len(cases),
            f"{phrase}: both": both / len(cases),
        }
    return figures | {"all: rows": total, "all: replaced words gone": all_gone / total}


if __name__ == "__main__":
    show(measure)
