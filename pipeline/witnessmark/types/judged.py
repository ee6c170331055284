"""A draft with the grade of each item and the rule behind it."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from witnessmark.types.base import Frozen
from witnessmark.types.drafted import Draft, Limit


class Grade(StrEnum):
    """How grave an item is, gravest first.

    minor, major and dangerous are the classes of Directive 2014/45/EU article 7(2); advisory is common
    practice; ``ungraded`` says that no rule applies, which is not the same as sound.
    """

    DANGEROUS = "dangerous"
    MAJOR = "major"
    MINOR = "minor"
    ADVISORY = "advisory"
    NOT_SEEN = "not_seen"
    UNGRADED = "ungraded"
    SOUND = "sound"


class Basis(StrEnum):
    """Where the limit or rule behind a grade comes from, in order of precedence."""

    REVIEWER = "judgement of the reviewer"
    SAID = "said by the technician"
    MACHINE_CARD = "machine card"
    LAW = "law"
    COMMON_PRACTICE = "common practice"
    NONE = "no rule"


class Verdict(Frozen):
    """The grade of one item and the rule that gave it."""

    item: str
    """Key of the item."""
    grade: Grade
    basis: Basis
    rule: str | None = None
    """Id of the row in ``models/`` that gave it."""
    source: str | None = None
    sureness: Literal["read", "read second-hand", "memory", "computed", "said", "none"] = "none"
    """How sure the source is."""
    limit: Limit | None = None
    """The limit used, in ``unit``."""
    unit: str | None = None
    message: str = ""
    """One plain sentence: the judgement and its margin."""


class Together(Frozen):
    """Several defects of one group, which together may be classed more gravely than each alone."""

    group: str
    """Of the vocabulary, such as ``brakes``."""
    grade: Grade
    """Of each of them."""
    raised: Grade
    """What they may be classed as together; a person decides whether their combined effect calls for it."""
    items: tuple[str, ...]
    """Keys of the items."""
    rule: str
    source: str
    sureness: Literal["read", "read second-hand", "memory", "computed", "said", "none"] = "none"
    message: str


class Assessment(Frozen):
    """A draft with its verdicts (at least one for each finding and reading) and what was never mentioned."""

    draft: Draft
    verdicts: tuple[Verdict, ...] = ()
    together: tuple[Together, ...] = ()
    never_mentioned: tuple[str, ...] = ()
    """Component ids that a walkround should touch and this one did not, gravest first."""

    def verdicts_of(self, key: str) -> tuple[Verdict, ...]:
        """All verdicts on one item, the deciding one first."""
        return tuple(v for v in self.verdicts if v.item == key)
