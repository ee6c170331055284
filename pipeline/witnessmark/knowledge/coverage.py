"""What a walkround should touch, read from ``models/limits/coverage.yaml``."""

from __future__ import annotations

from collections.abc import Collection
from functools import cache
from itertools import pairwise
from typing import Literal

from witnessmark.knowledge.rows import ComponentId, Components, parse_rows, refuse, refuse_twins, sections
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import End, Frozen, Side

FILE = "limits/coverage.yaml"
ENDS: tuple[End, ...] = ("front", "rear")
SIDES: tuple[Side, ...] = ("left", "right")
Risk = Literal[1, 2, 3]


class Alternative(Frozen):
    """One way a machine can be built, and the parts whose mention shows it."""

    id: str
    choice: str
    """What it is an alternative in, such as ``front`` (brake); the first row of a choice is the usual one."""
    shown_by: Components
    end: End | None = None
    """Only mentions of this end (or of no end) count."""
    sided: bool = False
    """Only mentions of one side count."""


class Fitted(Frozen):
    """A component that only some machines have."""

    id: ComponentId
    when: tuple[str, ...] = ()
    """Ids of alternatives; one of them must be the machine's. Empty: every machine."""


class Expected(Fitted):
    """A component that a walkround should touch."""

    risk: Risk
    """1 is gravest; the head of the file says what each means."""
    item: str = ""
    """Its number in Annex I to Directive 2014/45/EU."""
    counts: Components = ()
    """Other components whose mention counts as well."""
    sides_when: tuple[str, ...] = ()
    """Ids of alternatives that have it left and right; empty: as the vocabulary places it."""


class Coverage(Frozen):
    """The file: rows of ``expected`` stand in order of risk, gravest first."""

    alternatives: tuple[Alternative, ...]
    expected: tuple[Expected, ...]
    fitted: tuple[Fitted, ...] = ()

    def ends_of(self, row: Fitted, built: Collection[str]) -> tuple[End | None, ...]:
        """Ends at which a machine built so has the component: none, ``(None,)`` for one without ends."""
        here = [way for way in self.alternatives if way.id in row.when and way.id in built]
        if row.when and not here:
            return ()
        if not vocabulary().components[row.id].takes_end:
            return (None,)
        return tuple(way.end for way in here if way.end) or ENDS

    def sides_of(self, row: Expected, built: Collection[str]) -> tuple[Side | None, ...]:
        """Sides on which it is wanted; ``(None,)`` for a part that is on no side."""
        if row.sides_when:
            return SIDES if set(row.sides_when) & set(built) else (None,)
        return SIDES if vocabulary().components[row.id].placing in ("pair", "corner") else (None,)


def _check(found: Coverage) -> None:
    for rows in (found.alternatives, (*found.expected, *found.fitted)):
        refuse_twins((row.id for row in rows), FILE)
    known = {row.id for row in found.alternatives}
    for row in (*found.expected, *found.fitted):
        sides = row.sides_when if isinstance(row, Expected) else ()
        if unknown := {*row.when, *sides} - known:
            refuse(f"row {row.id}: {sorted(unknown)[0]!r} is not an alternative", FILE)
    for before, after in pairwise(found.expected):
        if after.risk < before.risk:
            refuse(f"row {after.id}: its risk is graver than that of the row before it", FILE)


@cache
def coverage() -> Coverage:
    """The file, checked.

    Raises:
        KnowledgeError: on a bad row, an id used twice, an unknown alternative, or rows out of order.
    """
    raw = sections(FILE, Coverage.model_fields)
    found = Coverage(
        alternatives=parse_rows(Alternative, raw.get("alternatives"), FILE, "alternatives"),
        expected=parse_rows(Expected, raw.get("expected"), FILE, "expected"),
        fitted=parse_rows(Fitted, raw.get("fitted"), FILE, "fitted"),
    )
    _check(found)
    return found
