"""What the components of extraction write down about one talk, each in its own field."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from witnessmark.extract.heard import is_unsure
from witnessmark.extract.lookup import Mention
from witnessmark.extract.numbers import Number
from witnessmark.types import End, Limit, Machine, Side, Word

if TYPE_CHECKING:
    from spacy.tokens import Doc

    from witnessmark.extract.raw import Raw


class Stretch(Protocol):
    """Anything over tokens [start, end)."""

    @property
    def start(self) -> int:
        """First token."""

    @property
    def end(self) -> int:
        """Token after the last."""


_S = TypeVar("_S", bound=Stretch)


@dataclass(frozen=True, slots=True)
class Target:
    """One part at one place."""

    component: str
    end: End | None = None
    side: Side | None = None


@dataclass(slots=True)
class Part:
    """A noun phrase that names a part, or only a place ("the left one", component None)."""

    start: int
    """First token of the phrase, place words included."""
    end: int
    head: tuple[int, int]
    """Tokens of the name itself."""
    component: str | None
    ends: tuple[End, ...] = ()
    sides: tuple[Side, ...] = ()
    pairs: tuple[tuple[End | None, Side | None], ...] = ()
    """Set for "all four", "the other three"."""
    plural: bool = False
    word: str = ""
    """How it was relative: "other", "others", "both", "same" or empty."""
    rule: str = ""
    pointed: bool = False
    """Whether "that", "this" or the like begins it."""


@dataclass(slots=True)
class Measure:
    """A figure with its unit, over tokens [start, end)."""

    start: int
    end: int
    number: Number
    value: float
    unit: str | None
    high: float | None = None
    role: str = "value"
    """value, limit, count, code, or used."""
    doubts: tuple[str, ...] = ()


@dataclass(slots=True)
class Code:
    """A marking: date code, size, grade, fault code."""

    start: int
    end: int
    quantity: str
    value: str
    doubts: tuple[str, ...] = ()


@dataclass(slots=True)
class Clause:
    """A stretch [start, end) that says one thing."""

    start: int
    end: int
    sentence: int
    opener: str = ""
    """The word or mark that begins it: "but", "and", ",", "."."""
    idle: str = ""
    """Why nothing in it is a finding; empty when it is a statement."""


@dataclass(slots=True)
class LimitSaid:
    """A limit or specification, over tokens [start, end)."""

    start: int
    end: int
    kind: str
    low: float | None = None
    high: float | None = None
    target: float | None = None
    bare: float | None = None
    """A figure called only "limit": low or high by what it limits."""
    unit: str | None = None
    measure: Measure | None = None
    """Its figure, to be read again as the quantity makes it."""
    back: int = 0
    """How many readings before the last it is of: the 36 of "31 and 38, they want 36 and 42"."""

    def limit(self) -> Limit:
        """The fields a reading carries."""
        return Limit(low=self.low, high=self.high, target=self.target)


@dataclass(slots=True)
class Talk:
    """A Doc and all that has been written down about it."""

    doc: Doc
    norms: list[str]
    keeps_left: bool = True
    jurisdiction: str | None = None
    mentions: dict[str, list[Mention]] = field(default_factory=dict)
    numbers: list[Number] = field(default_factory=list)
    measures: list[Measure] = field(default_factory=list)
    codes: list[Code] = field(default_factory=list)
    limits: list[LimitSaid] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)
    clauses: list[Clause] = field(default_factory=list)
    taken: set[int] = field(default_factory=set)
    """Tokens that belong to the machine's identity."""
    misheard: dict[int, str] = field(default_factory=dict)
    """Token → what the recogniser printed there."""
    punctuated: bool = True
    words: tuple[Word, ...] = ()
    """What a recogniser printed; none when the talk came as text."""
    machine: Machine = field(default_factory=Machine)
    indexes: dict[tuple[int, str], Any] = field(default_factory=dict, repr=False)
    """Items by token, for quick questions."""
    raws: list[Raw] = field(default_factory=list)
    """What was read, merged."""

    def at(self, index: int) -> str:
        """Norm of a token, empty outside the talk."""
        return self.norms[index] if 0 <= index < len(self.norms) else ""

    def is_unsure(self, start: int, end: int) -> bool:
        """Whether the recogniser doubted one of the tokens [start, end)."""
        span = self.doc[start:end]
        return is_unsure(self.words, span.start_char, span.end_char)

    def of(self, family: str) -> list[Mention]:
        """Mentions of one family, in order."""
        return self.mentions.get(family, [])

    def cues(self, kind: str) -> list[Mention]:
        """Cues of one kind, in order."""
        return self.mentions.get(f"cue:{kind}", [])

    def clause_of(self, token: int) -> int:
        """Index of the clause that holds a token."""
        if not self.clauses:
            return 0
        by_token = self._clause_table()
        return by_token[min(max(token, 0), len(by_token) - 1)]

    def sentence_of(self, token: int) -> int:
        """Number of the sentence that holds a token."""
        return self.clauses[self.clause_of(token)].sentence

    def _clause_table(self) -> list[int]:
        """Token → index of its clause; made once."""
        cached = self.indexes.get((id(self.clauses), "clause"))
        if cached is None or cached[0] != len(self.clauses):
            table: list[int] = []
            for index, clause in enumerate(self.clauses):
                table += [max(0, index - 1)] * (clause.start - len(table))
            table += [len(self.clauses) - 1] * (max(len(self.norms), 1) - len(table))
            cached = (len(self.clauses), table)
            self.indexes[id(self.clauses), "clause"] = cached
        return cached[1]

    def _index(self, items: Sequence[_S], edge: str) -> dict[int, list[_S]]:
        """``items`` by their first token, or by the token after their last; made once for each list."""
        cached = self.indexes.get((id(items), edge))
        if cached is None or cached[0] is not items or cached[1] != len(items):
            table: dict[int, list[_S]] = {}
            for item in items:
                table.setdefault(getattr(item, edge), []).append(item)
            cached = (items, len(items), table)
            self.indexes[id(items), edge] = cached
        return cached[2]

    def starting(self, items: Sequence[_S], token: int) -> Sequence[_S]:
        """Those of ``items`` that begin at a token."""
        return self._index(items, "start").get(token, ())

    def ending(self, items: Sequence[_S], token: int) -> Sequence[_S]:
        """Those of ``items`` that end right before a token."""
        return self._index(items, "end").get(token, ())

    @staticmethod
    def between(items: Sequence[_S], start: int, end: int) -> Sequence[_S]:
        """Those of ``items``, which are in order, that begin in [start, end)."""
        first = bisect_left(items, start, key=lambda i: i.start)
        return items[first : bisect_left(items, end, lo=first, key=lambda i: i.start)]

    def number_at(self, start: int) -> Number | None:
        """The number that begins at a token."""
        found = self.starting(self.numbers, start)
        return found[0] if found else None

    def near_before(self, at: int, words: frozenset[str], reach: int = 6) -> bool:
        """Whether one of some words stands before a token in its sentence, at most ``reach`` tokens away."""
        for index in range(at - 1, max(-1, at - 1 - reach), -1):
            if self.at(index) in (".", "?", "!", ";"):
                return False
            if self.at(index) in words:
                return True
        return False
