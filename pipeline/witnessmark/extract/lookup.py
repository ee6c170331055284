"""Finds the lexicon's phrases in a Doc with spaCy's PhraseMatcher, on NORM."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.lexicon import Row, lexicon
from witnessmark.knowledge.phrases import GAP, expand

if TYPE_CHECKING:
    from spacy.tokens import Doc
    from spacy.vocab import Vocab

LONGEST_OF = {
    "part": "word", "shared": "word", "condition": "word", "action": "action", "unit": "unit",
    "quantity": "quantity", "limit": "limit", "place": "place", "zone": "zone",
}  # fmt: skip
"""Families that compete for the same tokens; of overlapping phrases the longest stays. A cue competes only
with cues of its own kind."""
_GAP_WORDS = 4
_COMPARISON = 6
"""Words that a comparison may take."""
_SIMILE_STOPS = word_set("simile_stops")
_NOT_COMPARED = word_set("not_compared")
_LIKENS = frozenset((",", "is", "'s", "are", "was", "looks", "feels", "sounds", "black", "brown"))
_FINITE = frozenset(("is", "'s", "are", "was", "were", "has", "have", "does", "do", "should"))
_GAP_STOPS = word_set("gap_stops")


@dataclass(frozen=True, slots=True)
class Mention:
    """Lexicon rows that fit the tokens [start, end)."""

    start: int
    end: int
    rows: tuple[Row, ...]

    @property
    def family(self) -> str:
        """Family of its rows."""
        return self.rows[0].family

    @property
    def id(self) -> str:
        """Id of its first row."""
        return self.rows[0].id


class Lookup:
    """The lexicon compiled for one spaCy vocabulary."""

    def __init__(self, vocab: Vocab) -> None:
        from spacy.matcher import PhraseMatcher
        from spacy.tokens import Doc

        self.rows = lexicon().rows
        self.matcher = PhraseMatcher(vocab, attr="NORM")
        self.gapped: dict[int, list[tuple[str, ...]]] = defaultdict(list)
        self.labels: dict[int, int] = {}
        for number, row in enumerate(self.rows):
            if row.id == "plain":
                continue
            docs = []
            for words in _forms(row):
                whole = words
                if GAP in words:
                    at = words.index(GAP)
                    words = words[:at]
                    if tail := whole[at + 1 :]:
                        self.gapped[number].append((*words, GAP, *tail))
                        continue
                docs.append(Doc(vocab, words=list(words)))
            if docs:
                self.matcher.add(str(number), docs)
                self.labels[vocab.strings[str(number)]] = number
        self.heads = self._heads()

    def _heads(self) -> dict[str, list[tuple[int, tuple[str, ...]]]]:
        """Phrases with a gap by their first word."""
        heads: dict[str, list[tuple[int, tuple[str, ...]]]] = defaultdict(list)
        for number, phrases in self.gapped.items():
            for phrase in phrases:
                heads[phrase[0]].append((number, phrase))
        return heads

    def find(self, doc: Doc, norms: list[str]) -> dict[str, list[Mention]]:
        """Mentions by family (cues by ``cue:<id>``), each list in token order without overlaps."""
        spans: dict[str, dict[tuple[int, int], list[Row]]] = defaultdict(lambda: defaultdict(list))
        for label, start, end in self.matcher(doc):
            self._keep(spans, self.labels[label], start, end)
        for at, norm in enumerate(norms):
            for number, phrase in self.heads.get(norm, ()):
                stop = _match_gapped(norms, at, phrase)
                if stop:
                    self._keep(spans, number, at, stop)
        idioms = {i for start, end in spans.get("cue:idiom", ()) for i in range(start, end)}
        idioms |= _compared(norms, spans.get("word", {})) | _likened(norms)
        found: dict[str, list[Mention]] = defaultdict(list)
        for kind, rows_at in spans.items():
            if kind in ("word", "action", "place", "zone"):
                rows_at = {s: r for s, r in rows_at.items() if not idioms.issuperset(range(*s))}
            for mention in _longest(rows_at):
                found[mention.family if kind in LONGEST_OF.values() else kind].append(mention)
        for mentions in found.values():
            mentions.sort(key=lambda m: m.start)
        return found

    def _keep(self, spans: Any, number: int, start: int, end: int) -> None:
        row = self.rows[number]
        kind = LONGEST_OF.get(row.family) or f"cue:{row.id}"
        spans[kind][start, end].append(row)


def _compared(norms: list[str], words: dict[tuple[int, int], list[Row]]) -> set[int]:
    """Tokens of comparisons: the chips of "dry as chips", the boot of "black like my boot"."""
    found: set[int] = set()
    for (_, end), rows in words.items():
        leads = end + 1 < len(norms) and norms[end] in ("as", "like") and norms[end + 1] not in _NOT_COMPARED
        if not leads or rows[0].family != "condition":
            continue
        stop = end + 1
        while stop < len(norms) and stop - end <= _COMPARISON and norms[stop] not in _SIMILE_STOPS:
            stop += 1
        if not _FINITE & set(norms[end:stop]):
            found.update(range(end, stop))
    return found


def _likened(norms: list[str]) -> set[int]:
    """Tokens of "is like a goose", ", like Grandma's good plates": what something is only likened to."""
    found: set[int] = set()
    for at, word in enumerate(norms[:-1]):
        if word != "like" or not at or norms[at - 1] not in _LIKENS or norms[at + 1] in _NOT_COMPARED:
            continue
        stop = at + 1
        while stop < len(norms) and stop - at <= _COMPARISON and norms[stop] not in _SIMILE_STOPS:
            stop += 1
        found.update(range(at, stop))
    return found


def _forms(row: Row) -> Iterable[tuple[str, ...]]:
    """Phrases of a row; names also as "the brake fluids low" prints them, without the apostrophe."""
    for phrase in row.phrases:
        for words in expand(phrase):
            yield words
            last = words[-1]
            if row.family == "part" and last.isalpha() and len(last) > 3 and not last.endswith("s"):
                yield (*words[:-1], f"{last}s")


def _longest(rows_at: dict[tuple[int, int], list[Row]]) -> Iterable[Mention]:
    """Longest spans first, earlier ones before later ones, none overlapping one kept already."""
    taken: set[int] = set()
    for (start, end), rows in sorted(rows_at.items(), key=lambda i: (i[0][0] - i[0][1], i[0][0])):
        if taken.isdisjoint(range(start, end)):
            taken.update(range(start, end))
            family = max((r.family for r in rows), key=("part", "shared").__contains__)
            yield Mention(start, end, tuple(r for r in rows if r.family == family))


def _match_gapped(norms: list[str], at: int, phrase: tuple[str, ...]) -> int | None:
    """End of ``phrase`` beginning at a token, its gap filled with one to four plain words."""
    gap = phrase.index(GAP)
    head, tail = phrase[:gap], phrase[gap + 1 :]
    if tuple(norms[at : at + gap]) != head:
        return None
    for width in range(1, _GAP_WORDS + 1):
        begin = at + gap + width
        if begin > len(norms) or norms[begin - 1] in _GAP_STOPS:
            return None
        if tuple(norms[begin : begin + len(tail)]) == tail:
            return begin + len(tail)
    return None
