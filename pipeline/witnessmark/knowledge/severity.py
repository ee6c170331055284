"""How grave a defect or a broken limit is, read from ``models/limits/severity.yaml``."""

from __future__ import annotations

from functools import cache
from typing import Annotated, Literal, NamedTuple

from pydantic import Field

from witnessmark.knowledge.rows import (
    ComponentId,
    Components,
    ConditionId,
    Conditions,
    Groups,
    Quantities,
    Sureness,
    Words,
    parse_row,
    parse_rows,
    refuse,
    refuse_twins,
    sections,
)
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Basis, End, Frozen, Grade, State

FILE = "limits/severity.yaml"


class GradeBy(NamedTuple):
    """A grade and where it stands, written ``[grade, item, sureness]``."""

    grade: Grade
    item: str = ""
    """Number of the item or section in the source."""
    sureness: Sureness = "none"


class Graded(Frozen):
    """A row that grades. ``grades``: code of the jurisdiction, or ``generic`` → grade."""

    id: str
    component: Components = ()
    group: Groups = ()
    said: Words = ()
    share: dict[str, float] = Field(default_factory=dict)
    """Jurisdiction → greatest share of a whole, said as "one of four", for which the row holds."""
    grades: Annotated[dict[str, GradeBy], Field(min_length=1)]
    rungs: tuple[Grade, ...] = ()
    """The ladder that words of degree move along, laxest first; each of ``grades`` is one of them."""
    note: str = ""


class SeverityRow(Graded):
    """Grades a condition. An empty list matches everything."""

    condition: Conditions = ()


class ReadingRow(Graded):
    """Grades a reading that breaks a limit, or whose mere presence tells (``stated``)."""

    quantity: Quantities = ()
    side: tuple[Literal["below", "above", "other", "stated"], ...]
    """``other``: a text that differs from the machine's."""
    basis: Basis | None = None
    """Holds for limits of this basis only."""


class StateRow(Frozen):
    """Grades a finding that is not a present defect."""

    id: str
    state: State
    kind: Literal["sound", "defect", "any"]
    grade: Grade
    basis: Basis
    says: str


class ClassRow(Frozen):
    """What a grade is called in a country's own inspection scheme, and what follows from it there."""

    id: str
    jurisdiction: str
    grade: Grade
    name: str
    says: str
    source: str
    sureness: Sureness


class Degree(Frozen):
    """Words that say how much of a defect there is."""

    id: str
    step: Literal[-1, 1]
    """Rungs up (graver) or down."""
    words: Words
    says: str


class TogetherRow(Frozen):
    """When several defects of one group may be classed more gravely together."""

    id: str
    grade: Grade
    least: Annotated[int, Field(ge=2)]
    raised: Grade
    source: str
    sureness: Sureness


class Implied(Frozen):
    """A finding that the words of another one imply."""

    id: str
    component: Components
    condition: Conditions
    said: Annotated[Words, Field(min_length=1)]
    implies: ComponentId
    end: End | None = None
    as_condition: ConditionId
    says: str
    """Why a reviewer should look."""


class Severity(Frozen):
    """All of the file."""

    sources: dict[str, str]
    """Jurisdiction code → words for its source, with ``{}`` for the item."""
    meanings: dict[Grade, str]
    """What a grade asks for."""
    negations: tuple[str, ...]
    """Words that undo a phrase just after them."""
    classes: tuple[ClassRow, ...]
    degrees: tuple[Degree, ...]
    together: tuple[TogetherRow, ...]
    implied: tuple[Implied, ...]
    states: tuple[StateRow, ...]
    conditions: tuple[SeverityRow, ...]
    readings: tuple[ReadingRow, ...]


def _check(found: Severity) -> None:
    """Refuse twins, jurisdictions without a source, and conditions and readings that nothing grades."""
    graded = (*found.conditions, *found.readings)
    lists = (found.classes, found.degrees, found.together, found.implied, found.states, graded)
    refuse_twins([row.id for rows in lists for row in rows], FILE)
    for row in graded:
        if missing := set(row.share) - set(found.sources):
            refuse(f"row {row.id}: {sorted(missing)[0]!r} has no row in sources", FILE)
        if row.rungs and not {by.grade for by in row.grades.values()} <= set(row.rungs):
            refuse(f"row {row.id}: a grade is not among its rungs", FILE)
        if missing := set(row.grades) - set(found.sources):
            refuse(f"row {row.id}: {sorted(missing)[0]!r} has no row in sources", FILE)
    bare = [row for row in found.conditions if not (row.component or row.group or row.said or row.share)]
    for condition in vocabulary().conditions:
        if condition != "sound" and not any(condition in row.condition for row in bare):
            refuse(f"no row for the condition {condition} holds for every component", FILE)
    if not any(
        row.model_dump(exclude={"id", "share", "grades", "rungs", "note"}) == _ANY_READING
        for row in found.readings
    ):
        refuse("no row of readings holds for every reading", FILE)


_ANY_READING = {"component": (), "group": (), "said": (), "quantity": (), "side": ("below", "above", "other"),
                "basis": None}  # fmt: skip


@cache
def severity() -> Severity:
    """The file, checked.

    Raises:
        KnowledgeError: on a bad row, an id used twice, or a condition without a default.
    """
    raw = sections(FILE, Severity.model_fields)
    found = parse_row(
        Severity,
        {
            "sources": raw.get("sources"),
            "meanings": raw.get("meanings"),
            "negations": raw.get("negations"),
            "classes": parse_rows(ClassRow, raw.get("classes"), FILE, "classes"),
            "degrees": parse_rows(Degree, raw.get("degrees"), FILE, "degrees"),
            "together": parse_rows(TogetherRow, raw.get("together"), FILE, "together"),
            "implied": parse_rows(Implied, raw.get("implied"), FILE, "implied"),
            "states": parse_rows(StateRow, raw.get("states"), FILE, "states"),
            "conditions": parse_rows(SeverityRow, raw.get("conditions"), FILE, "conditions"),
            "readings": parse_rows(ReadingRow, raw.get("readings"), FILE, "readings"),
        },
        FILE,
        "sources, meanings or negations",
    )
    _check(found)
    return found
