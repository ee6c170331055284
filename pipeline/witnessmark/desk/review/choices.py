"""Everything that a reviewer may choose, with the words that people say for it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from functools import cache
from typing import TYPE_CHECKING

from witnessmark.desk.review.shapes import Named, PartNamed, QuantityNamed, Words
from witnessmark.desk.review.trail import grade_word
from witnessmark.knowledge.lexicon import Row, lexicon
from witnessmark.knowledge.phrases import GAP, expand
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.review.fields import PHASES, STATES, STATUSES
from witnessmark.review.words import component_names, unit_names
from witnessmark.types import Grade
from witnessmark.units import UNITS, convert

if TYPE_CHECKING:
    from sqlite_utils import Database

GIVEN = (Grade.DANGEROUS, Grade.MAJOR, Grade.MINOR, Grade.ADVISORY, Grade.SOUND)
"""Grades that a reviewer may give himself."""
MOST_SAID = 24
"""Spoken names of one choice, the shortest first."""
MOST_REASONS = 8
FIRST_REASONS = (
    "misheard",
    "said of another part",
    "said twice",
    "taken back in the talk",
    "not of this machine",
)
"""Offered until the workshop has reasons of its own."""


def words(reasons: Iterable[str]) -> Words:
    """All choices.

    Args:
        reasons: of earlier rejections, those used most first.
    """
    offered = tuple(dict.fromkeys((*reasons, *FIRST_REASONS)))[:MOST_REASONS]
    return _fixed().model_copy(update={"reasons": offered})


@cache
def _fixed() -> Words:
    known, said = vocabulary(), _said()
    return Words(
        components=tuple(
            PartNamed(
                id=part.id,
                name=name,
                said=said["part", part.id],
                takes_end=part.takes_end,
                takes_side=part.placing != "once",
            )
            for part, name in ((known.components[id], name) for id, name in component_names().items())
        ),
        conditions=tuple(Named(id=i, name=n, said=said["condition", i]) for i, n in known.conditions.items()),
        quantities=tuple(
            QuantityNamed(id=i, name=name, said=said["quantity", i], unit=unit, units=_fitting(unit))
            for i, (unit, name) in known.quantities.items()
        ),
        units=tuple(Named(id=i, name=n, said=said["unit", i]) for i, n in unit_names().items()),
        work=tuple(Named(id=i, name=n, said=said["action", i]) for i, n in known.actions.items()),
        states=tuple(Named(id=i, name=n) for i, n in STATES.items()),
        statuses=tuple(Named(id=i, name=n) for i, n in STATUSES.items()),
        phases=tuple(Named(id=i, name=n) for i, n in PHASES.items()),
        grades=tuple(Named(id=grade.value, name=grade_word(grade)) for grade in GIVEN),
        reasons=(),
    )


def _said() -> defaultdict[tuple[str, str], tuple[str, ...]]:
    """(family, id) → spoken names, the shortest first."""
    found: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    for row in lexicon().rows:
        if row.family in ("part", "condition", "action", "quantity", "unit"):
            found[row.family, row.id].update(_phrases(row))
    short = {key: tuple(sorted(names, key=lambda n: (len(n), n))[:MOST_SAID]) for key, names in found.items()}
    return defaultdict(tuple, short)


def _phrases(row: Row) -> Iterable[str]:
    if row.data.get("part"):  # a word only beside its part: "bracket"
        return ()
    return (" ".join(said) for phrase in row.phrases for said in expand(phrase) if GAP not in said)


@cache
def _fitting(unit: str | None) -> tuple[str, ...]:
    """Units in which a quantity of that unit may be measured."""
    if unit is None:
        return ()
    return tuple(other for other in UNITS if _converts(other, unit))


def _converts(unit: str, into: str) -> bool:
    try:
        convert(1.0, unit, into)
    except ValueError:
        return False
    return True


def reasons_used(db: Database) -> tuple[str, ...]:
    """Reasons of earlier rejections at this desk, those used most first."""
    rows = db.execute(
        "SELECT reason FROM reasons ORDER BY times DESC, reason LIMIT ?", [MOST_REASONS]
    ).fetchall()
    return tuple(reason for (reason,) in rows)


def note_reason(db: Database, reason: str) -> None:
    """Count a reason that was given."""
    db.execute(
        "INSERT INTO reasons (reason, times) VALUES (?, 1) "
        "ON CONFLICT (reason) DO UPDATE SET times = times + 1",
        [" ".join(reason.split())],
    )
