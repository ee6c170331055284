"""Limits of readings by country, read from ``models/limits`` and checked.

``rules(country)`` gives all that judging a draft needs; nothing here decides anything.
"""

from __future__ import annotations

from functools import cache

from witnessmark.knowledge.coverage import Coverage, coverage
from witnessmark.knowledge.figures import (
    GENERIC,
    AgeBand,
    Ask,
    Curve,
    Family,
    LimitRow,
    Margin,
    Said,
    Tolerance,
)
from witnessmark.knowledge.rows import parse_rows, refuse, refuse_twins, sections
from witnessmark.knowledge.severity import Severity, severity
from witnessmark.types import Basis, Frozen

FOLDER = "limits"


class Jurisdiction(Frozen):
    """A country or state whose rules are known here."""

    id: str
    name: str
    also: tuple[str, ...] = ()
    parent: str | None = None
    file: str | None = None
    note: str = ""
    """Said when no law of this place judges a reading that laws elsewhere do."""


class Practice(Frozen):
    """The sections of the generic file beside its limits."""

    asks: tuple[Ask, ...]
    facts: tuple[Said, ...]
    margins: tuple[Margin, ...]
    tolerances: tuple[Tolerance, ...]
    curves: tuple[Curve, ...]
    ages: tuple[AgeBand, ...]
    families: tuple[Family, ...]


class Rules(Frozen):
    """All that judging one draft needs."""

    asked: str | None
    """The jurisdiction as it was given."""
    chain: tuple[str, ...]
    """From the state or country to ``generic``; empty when the jurisdiction is not known."""
    note: str
    limits: tuple[LimitRow, ...]
    """Those of the chain, nearest first."""
    regulated: frozenset[tuple[str, str]]
    """Component and quantity pairs that some law, anywhere, sets a limit for."""
    practice: Practice
    severity: Severity
    coverage: Coverage


@cache
def jurisdictions() -> dict[str, Jurisdiction]:
    """Places by code.

    Raises:
        KnowledgeError: on a bad row, a code used twice or an unknown parent.
    """
    where = f"{FOLDER}/jurisdictions.yaml"
    rows = parse_rows(
        Jurisdiction, sections(where, ["jurisdictions"])["jurisdictions"], where, "jurisdictions"
    )
    refuse_twins((code for row in rows for code in (row.id, *row.also)), where)
    places = {row.id: row for row in rows}
    for row in rows:
        if row.parent is not None and row.parent not in places:
            refuse(f"row {row.id}: parent {row.parent!r} is not a row", where)
    return places


@cache
def limit_rows() -> tuple[LimitRow, ...]:
    """Every row of every country.

    Raises:
        KnowledgeError: on a bad row, an id used twice or an unknown jurisdiction.
    """
    found: list[LimitRow] = []
    for file in dict.fromkeys(place.file for place in jurisdictions().values() if place.file):
        where = f"{FOLDER}/{file}"
        rows = parse_rows(
            LimitRow, sections(where, ["limits", *Practice.model_fields]).get("limits"), where, "limits"
        )
        for row in rows:
            if row.jurisdiction not in jurisdictions():
                refuse(f"row {row.id}: {row.jurisdiction!r} is not a jurisdiction", where)
        found += rows
        refuse_twins((row.id for row in found), where)
    return tuple(found)


@cache
def practice() -> Practice:
    """What common practice says beside limits.

    Raises:
        KnowledgeError: on a bad row.
    """
    where = f"{FOLDER}/generic.yaml"
    raw = sections(where, ["limits", *Practice.model_fields])
    return Practice(
        asks=parse_rows(Ask, raw.get("asks"), where, "asks"),
        facts=parse_rows(Said, raw.get("facts"), where, "facts"),
        margins=parse_rows(Margin, raw.get("margins"), where, "margins"),
        tolerances=parse_rows(Tolerance, raw.get("tolerances"), where, "tolerances"),
        curves=parse_rows(Curve, raw.get("curves"), where, "curves"),
        ages=parse_rows(AgeBand, raw.get("ages"), where, "ages"),
        families=parse_rows(Family, raw.get("families"), where, "families"),
    )


def _place_of(code: str | None) -> Jurisdiction | None:
    """The place with that code; of an unknown state, its country."""
    places = jurisdictions()
    by_code = {
        name: place for place in places.values() for name in (place.id, *place.also) if name != GENERIC
    }
    code = (code or "").strip().upper()
    return by_code.get(code) or by_code.get(code.partition("-")[0])


@cache
def rules(jurisdiction: str | None) -> Rules:
    """Rules of a country or state code (ISO 3166), such as ``GB``, ``FR`` or ``US-MD``.

    An unknown code or None gives rules without any limit: readings are then stated, not judged.

    Raises:
        KnowledgeError: on a bad file in ``models/limits``.
    """
    place = _place_of(jurisdiction)
    chain: list[Jurisdiction] = []
    step = place
    while step is not None and step not in chain:
        chain.append(step)
        step = jurisdictions()[step.parent] if step.parent else None
    codes = tuple(step.id for step in chain)
    return Rules(
        asked=jurisdiction,
        chain=codes,
        note=next((step.note for step in chain if step.note), ""),
        limits=tuple(row for code in codes for row in limit_rows() if row.jurisdiction == code),
        regulated=frozenset((r.component, r.quantity) for r in limit_rows() if r.basis is Basis.LAW),
        practice=practice(),
        severity=severity(),
        coverage=coverage(),
    )
