"""What surrounds an item in its talk, and what is known of the machine when it is judged."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import NamedTuple

from witnessmark.assess.words import says, tokens
from witnessmark.knowledge.cards import MachineCard
from witnessmark.knowledge.figures import MachineFacts
from witnessmark.knowledge.limits import Rules
from witnessmark.types import Draft, Item, Reading

_SENTENCE_END = re.compile(r"[.!?;](?=\s|$)|\n")
_BREAK = re.compile(r",|\b(?:and|but|then)\b", re.I)
_NEAR = 120
"""How many characters away another reading may be to belong to the same remark."""


class Span(NamedTuple):
    """A half-open stretch of the talk, in characters."""

    start: int
    end: int


@dataclass(frozen=True)
class Context:
    """All that judging one item may look at."""

    draft: Draft
    rules: Rules
    card: MachineCard | None = None
    on: date | None = None

    @cached_property
    def _sentences(self) -> tuple[Span, ...]:
        ends = [found.end() for found in _SENTENCE_END.finditer(self.draft.text)]
        starts = [0, *ends]
        return tuple(map(Span, starts, [*ends, len(self.draft.text)]))

    @cached_property
    def _evidence(self) -> tuple[Span, ...]:
        spans = {Span(e.char_start, e.char_end) for item in self.draft.items for e in item.evidence}
        return tuple(sorted(spans))

    def words(self, item: Item) -> list[list[str]]:
        """The item's own words with what was said around them, one list a stretch."""
        heard = []
        for evidence in item.evidence:
            span = Span(evidence.char_start, evidence.char_end)
            inside = evidence.text and self.draft.text[span.start : span.end] == evidence.text
            heard.append(tokens(self._around(span) if inside else evidence.text))
        return heard

    def says(self, item: Item, phrases: Iterable[str]) -> bool:
        """Whether one of the phrases was said with the item and not negated."""
        return says(self.words(item), phrases, self.rules.severity.negations)

    def _around(self, own: Span) -> str:
        """The item's evidence up to its neighbours in the sentence, and a next sentence that has no item."""
        first = next(s for s in self._sentences if own.start < s.end)
        last = next(s for s in self._sentences if own.end <= s.end)
        start = max([first.start, *(e.end for e in self._evidence if e.end <= own.start)])
        later = [e.start for e in self._evidence if own.end <= e.start < last.end]
        later += [e.end for e in self._evidence if e.start < own.end < e.end <= last.end]
        if not later:
            return self.draft.text[start : last.end] + self._remark_after(last)
        tail = self.draft.text[own.end : min(later)]
        cut = _BREAK.search(tail)
        return self.draft.text[start : own.end] + (tail[: cut.start()] if cut else tail)

    def _remark_after(self, last: Span) -> str:
        following = next((s for s in self._sentences if s.start >= last.end), None)
        if following is None or any(
            e.start < following.end and following.start < e.end for e in self._evidence
        ):
            return ""
        return self.draft.text[following.start : following.end]

    def beside(self, reading: Reading, quantity: str) -> Reading | None:
        """The nearest other reading of that quantity on the same part at the same place."""
        rows = [
            (self._distance(reading, other), other)
            for other in self.draft.findings
            if isinstance(other, Reading)
            and other.key != reading.key
            and other.quantity == quantity
            and other.component == reading.component
            and (other.end in (None, reading.end) or reading.end is None)
        ]
        near = [row for row in rows if row[0] <= _NEAR]
        return min(near, key=lambda row: row[0])[1] if near else None

    @staticmethod
    def _distance(one: Item, other: Item) -> int:
        if not (one.evidence and other.evidence):
            return 0
        a, b = one.evidence[0], other.evidence[0]
        return max(a.char_start - b.char_end, b.char_start - a.char_end, 0)

    def facts(self, item: Item) -> MachineFacts:
        """What is known of the machine: the card, over it what was said with the item."""
        known: MachineFacts = self.card or MachineFacts()
        said: dict[str, str] = {}
        for row in self.rules.practice.facts:
            concerns = not row.component or item.component in row.component
            if concerns and row.fact not in said and self.says(item, row.said):
                said[row.fact] = row.value
        grade = self.beside(item, "grade_marking") if isinstance(item, Reading) else None
        if item.component == "brake_fluid" and grade and isinstance(grade.value, str):
            said["fluid"] = grade.value
        return known.model_copy(update=said) if said else known
