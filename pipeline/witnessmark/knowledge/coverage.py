"""What a walkround should touch, read from ``models/limits/coverage.yaml``."""

from __future__ import annotations

from functools import cache

from witnessmark.knowledge.rows import ComponentId, Components, parse_rows, refuse, refuse_twins, sections
from witnessmark.types import End, Frozen

FILE = "limits/coverage.yaml"


class Alternative(Frozen):
    """One way a machine can be built, and the parts whose mention shows it."""

    id: str
    choice: str
    """What it is an alternative in, such as ``front`` (brake); the first row of a choice is the usual one."""
    shown_by: Components
    end: End | None = None
    """Only mentions of this end (or of no end) count."""


class Expected(Frozen):
    """A component that a walkround should touch."""

    id: ComponentId
    when: tuple[str, ...] = ()
    """Ids of alternatives; one of them must be the machine's. Empty: every machine."""
    counts: Components = ()
    """Other components whose mention counts as well."""


class Coverage(Frozen):
    """The file: rows of ``expected`` stand in order of risk, gravest first."""

    alternatives: tuple[Alternative, ...]
    expected: tuple[Expected, ...]


@cache
def coverage() -> Coverage:
    """The file, checked.

    Raises:
        KnowledgeError: on a bad row, an id used twice or an unknown alternative.
    """
    raw = sections(FILE, Coverage.model_fields)
    found = Coverage(
        alternatives=parse_rows(Alternative, raw.get("alternatives"), FILE, "alternatives"),
        expected=parse_rows(Expected, raw.get("expected"), FILE, "expected"),
    )
    refuse_twins([row.id for row in found.alternatives] + [row.id for row in found.expected], FILE)
    known = {row.id for row in found.alternatives}
    for row in found.expected:
        if unknown := set(row.when) - known:
            refuse(f"row {row.id}: {sorted(unknown)[0]!r} is not an alternative", FILE)
    return found
