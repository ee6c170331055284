"""What a walkround can come to for the machine as a whole, read from ``models/standing.yaml``."""

from __future__ import annotations

from functools import cache

from witnessmark.knowledge.rows import parse_row, parse_rows, refuse, refuse_twins, sections
from witnessmark.types import Frozen, Grade

FILE = "standing.yaml"


class Level(Frozen):
    """One thing it can come to."""

    id: str
    name: str
    grades: tuple[Grade, ...] = ()
    """One item of such a grade makes it so."""


class Standings(Frozen):
    """The file; levels gravest first."""

    levels: tuple[Level, ...]
    scope: str
    first: str
    together: str
    none: str
    note: str

    def level(self, id: str) -> Level:
        """The level with that id."""
        return next(row for row in self.levels if row.id == id)


@cache
def standings() -> Standings:
    """The file, checked.

    Raises:
        KnowledgeError: on a bad row, a level twice, or a grade that no level or two levels answer.
    """
    raw = sections(FILE, Standings.model_fields)
    levels = parse_rows(Level, raw.get("levels"), FILE, "levels")
    found = parse_row(Standings, {**raw, "levels": levels}, FILE, "beside levels")
    refuse_twins((row.id for row in levels), FILE)
    refuse_twins((grade for row in levels for grade in row.grades), FILE)
    answered = {grade for row in levels for grade in row.grades}
    if missing := set(Grade) - answered - {Grade.NOT_SEEN}:
        refuse(f"no level answers the grade {sorted(missing)[0]}", FILE)
    if "nothing" not in {row.id for row in levels}:
        refuse("no level is called nothing, for where no grade was given", FILE)
    return found
