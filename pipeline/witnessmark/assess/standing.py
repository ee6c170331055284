"""What the verdicts on a walkround come to for the machine as a whole."""

from __future__ import annotations

from typing import NamedTuple

from witnessmark.knowledge.standing import Level, Standings
from witnessmark.types import Assessment, Finding, Grade, Reading


class Standing(NamedTuple):
    """The gravest level that holds, what made it so, and how much of the machine it speaks for."""

    level: Level
    because: tuple[Finding | Reading, ...]
    """The items of the grade that gave the level, in the order of the talk; none for ``clear``."""
    scope: str
    """How many parts were not seen or not mentioned."""
    note: str
    """That it is no certificate."""


def standing(assessment: Assessment, rows: Standings) -> Standing:
    """The machine's standing by the deciding verdict on each item, as found and before anyone confirmed it.

    What was put right during the walkround still counts as found; parts that were not seen or not mentioned
    make it neither better nor worse, and the scope counts them.
    """
    graded = [
        (item, v[0].grade) for item in assessment.draft.findings if (v := assessment.verdicts_of(item.key))
    ]
    judged = any(grade not in (Grade.UNGRADED, Grade.NOT_SEEN) for _, grade in graded)
    for level in rows.levels if judged else ():
        made = tuple(item for item, grade in graded if grade in level.grades)
        if made:
            return Standing(level, () if level.id == "clear" else made, _scope(assessment, rows), rows.note)
    return Standing(rows.level("nothing"), (), _scope(assessment, rows), rows.note)


def _scope(assessment: Assessment, rows: Standings) -> str:
    unseen = {
        item.place
        for item in assessment.draft.findings
        if isinstance(item, Finding) and item.state == "unseen"
    }
    never = len(assessment.never_mentioned)
    return rows.scope.format(unseen=len(unseen), never=never) if unseen or never else rows.none
