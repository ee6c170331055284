"""Finds the lexicon's phrases in the norms of a talk.

The phrases that begin with a word are worked out when a talk first holds that word, and kept as a tree of
words: of some 80,000 phrases a first talk needs a few thousand. (spaCy's PhraseMatcher wants a Doc of each.)
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import accumulate
from typing import Any

from witnessmark.knowledge.grammar import words as word_set
from witnessmark.knowledge.lexicon import Row, lexicon
from witnessmark.knowledge.phrases import GAP, expand, first_words

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
_LIKENS = word_set("likening")
_SEEMS = word_set("seeming")
_FINITE = word_set("likeness_finite")
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


_END = ""
"""Key under which a tree of words has the numbers of the rows that end there."""
_Tree = dict[str, Any]


class Lookup:
    """The lexicon by first word."""

    def __init__(self) -> None:
        self.rows = lexicon().rows
        self._waiting: dict[str, list[int]] = defaultdict(list)
        self._trees: dict[str, _Tree] = {}
        self._gapped: dict[str, list[tuple[int, tuple[str, ...]]]] = defaultdict(list)
        for number, row in enumerate(self.rows):
            if row.id != "plain":
                for word in _beginnings(row):
                    self._waiting[word].append(number)

    def _tree(self, first: str) -> _Tree:
        """The phrases that begin with a word, as a tree below it."""
        if (numbers := self._waiting.pop(first, None)) is not None:
            tree = self._trees[first] = {}
            for number in numbers:
                for phrase in _forms(self.rows[number], first):
                    if GAP in phrase and phrase[-1] != GAP:
                        self._gapped[first].append((number, phrase))
                    else:
                        _plant(tree, phrase[1:], number)
        return self._trees.get(first, {})

    def find(self, norms: list[str]) -> dict[str, list[Mention]]:
        """Mentions by family (cues by ``cue:<id>``), each list in token order without overlaps."""
        spans: dict[str, dict[tuple[int, int], list[Row]]] = defaultdict(lambda: defaultdict(list))
        present = {*norms, GAP}
        possible: dict[str, list[tuple[int, tuple[str, ...]]]] = {}
        for at, norm in enumerate(norms):
            tree, stop = self._tree(norm), at + 1
            while tree:
                for number in tree.get(_END, ()):
                    self._keep(spans, number, at, stop)
                tree = tree.get(norms[stop], {}) if stop < len(norms) and norms[stop] else {}
                stop += 1
            if norm not in possible:
                gapped = self._gapped.get(norm, ())
                possible[norm] = [(n, p) for n, p in gapped if present.issuperset(p)]
            for number, phrase in possible[norm]:
                if end := _match_gapped(norms, at, phrase):
                    self._keep(spans, number, at, end)
        idioms = _reaches(len(norms), spans.get("cue:idiom", {}))
        likened = _compared(norms, spans.get("word", {})) | _likened(norms, spans.get("word", {}))
        found: dict[str, list[Mention]] = defaultdict(list)
        for kind, rows_at in spans.items():
            if kind in ("word", "action", "place", "zone"):
                rows_at = {s: r for s, r in rows_at.items() if not _is_idle(norms, s, idioms, likened)}
            for mention in _longest(rows_at):
                found[mention.family if kind in LONGEST_OF.values() else kind].append(mention)
        for mentions in found.values():
            mentions.sort(key=lambda m: m.start)
        return found

    def _keep(self, spans: Any, number: int, start: int, end: int) -> None:
        row = self.rows[number]
        kind = LONGEST_OF.get(row.family) or f"cue:{row.id}"
        spans[kind][start, end].append(row)


def _reaches(length: int, idioms: Iterable[tuple[int, int]]) -> list[int]:
    """For each token how far the turns of speech reach that begin there or before."""
    ends = [0] * (length + 1)
    for start, end in idioms:
        ends[start] = max(ends[start], end)
    return list(accumulate(ends, max))


def _is_idle(norms: list[str], span: tuple[int, int], idioms: list[int], likened: set[int]) -> bool:
    """Whether words are part of one turn of speech, or of what something is only likened to.

    A row that begins with "like" or "as" is a likeness that says something: "like tea".
    """
    inside = idioms[span[0]] >= span[1]
    says = norms[span[0]] in ("like", "as") and span[1] - span[0] > 1
    return inside or (not says and likened.issuperset(range(*span)))


def _compared(norms: list[str], words: dict[tuple[int, int], list[Row]]) -> set[int]:
    """Tokens of comparisons: the chips of "dry as chips", the boot of "black like my boot"."""
    found: set[int] = set()
    for (start, end), rows in words.items():
        leads = end + 1 < len(norms) and norms[end] in ("as", "like") and norms[end + 1] not in _NOT_COMPARED
        leads = leads and norms[end + 2 : end + 3] != ["as"]  # "gone | as dark as tea"
        compared = norms[max(0, start - 2) : start] in (["than", "the"], ["than", "a"], ["than", "that"])
        compared = compared and norms[max(0, start - 3) : start - 2] != ["other"]
        if compared and rows[0].family == "condition":
            found.update(range(start, end))  # "that scares me more than the knock"
        leads = leads or norms[end - 1] == "than"  # "drier than a dead dingo"
        if not leads or rows[0].family != "condition":
            continue
        stop = end + 1
        while stop < len(norms) and stop - end <= _COMPARISON and norms[stop] not in _SIMILE_STOPS:
            stop += 1
        if not _FINITE & set(norms[end:stop]):
            found.update(range(end, stop))
    return found


def _likened(norms: list[str], words: dict[tuple[int, int], list[Row]]) -> set[int]:
    """Tokens of "is like a goose", ", like Grandma's good plates": what something is only likened to."""
    nouns = {start for (start, _), rows in words.items() if any(r.data.get("noun") for r in rows)}
    found: set[int] = set()
    for at, word in enumerate(norms[:-1]):
        if word != "like" or not at or norms[at - 1] not in _LIKENS or norms[at + 1] in _NOT_COMPARED:
            continue
        stop = at + 1
        while stop < len(norms) and stop - at <= _COMPARISON and norms[stop] not in _SIMILE_STOPS:
            stop += 1
        seems = norms[at - 1] in _SEEMS
        if seems and (_FINITE & set(norms[at + 1 : stop]) or _presents(norms, at + 1, nouns)):
            continue  # "looks like the shock's leaking", "feels like a notch"
        found.update(range(at, stop))
    return found


def _presents(norms: list[str], at: int, nouns: set[int]) -> bool:
    """Whether a word for a defect, as a thing, follows an article."""
    return norms[at] in ("a", "an", "some", "the") and bool(nouns & {at + 1, at + 2})


def _plant(tree: _Tree, words: tuple[str, ...], number: int) -> None:
    """Puts a phrase into a tree; a gap at its end is as good as none."""
    for word in words:
        if word != GAP:
            tree = tree.setdefault(word, {})
    if number not in tree.setdefault(_END, []):
        tree[_END].append(number)


def _beginnings(row: Row) -> set[str]:
    """First words of all forms of a row."""
    if row.family == "part":
        return {words[0] for phrase in row.phrases for words in _named(expand(phrase))}
    return {word for phrase in row.phrases for word in first_words(phrase)}


def _forms(row: Row, first: str) -> Iterable[tuple[str, ...]]:
    """Phrases of a row that begin with a word."""
    for phrase in row.phrases:
        if first in first_words(phrase) or row.family == "part":
            forms = expand(phrase)
            yield from (w for w in (_named(forms) if row.family == "part" else forms) if w[0] == first)


def _named(forms: Iterable[tuple[str, ...]]) -> Iterable[tuple[str, ...]]:
    """Names also as "the brake fluids low" prints them, without the apostrophe."""
    for words in forms:
        yield words
        last = words[-1]
        if last.isalpha() and len(last) > 3 and not last.endswith("s"):
            yield (*words[:-1], f"{last}s")


def _longest(rows_at: dict[tuple[int, int], list[Row]]) -> Iterable[Mention]:
    """Longest spans first, earlier ones before later ones, none overlapping one kept already."""
    taken: set[int] = set()
    for (start, end), rows in sorted(rows_at.items(), key=lambda i: (i[0][0] - i[0][1], i[0][0])):
        if taken.isdisjoint(range(start, end)):
            taken.update(range(start, end))
            family = max(rows, key=_rank).family
            yield Mention(start, end, tuple(r for r in rows if r.family == family))


def _rank(row: Row) -> int:
    """Of the rows for one phrase a part goes first, before it a word that means a part by what is near."""
    if row.family == "shared":
        return 2 if row.data["default"] else 0
    return int(row.family == "part")


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
