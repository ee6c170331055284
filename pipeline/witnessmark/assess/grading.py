"""Chooses the row of ``severity.yaml`` that grades an item, and the country's grade in it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple, TypeVar

from witnessmark.assess.context import Context
from witnessmark.assess.words import says, shares, spoken, without
from witnessmark.knowledge.electrics import electrics
from witnessmark.knowledge.figures import GENERIC
from witnessmark.knowledge.limits import Rules
from witnessmark.knowledge.rows import Sureness
from witnessmark.knowledge.severity import Degree, Graded, ReadingRow
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Basis, Grade, Item, Reading, Verdict

R = TypeVar("R", bound=Graded)
FALLBACK = ("EU", "GB", GENERIC)
"""Whose grade is borrowed, as common practice, where the country has none of its own."""
FAILING = (Grade.DANGEROUS, Grade.MAJOR, Grade.MINOR)
_GRAVITY = {grade: rank for rank, grade in enumerate(reversed(Grade))}


class Ruling(NamedTuple):
    """A grade, on what it rests and the row that gave it."""

    grade: Grade
    basis: Basis
    rule: str
    source: str
    sureness: Sureness

    def verdict(self, item: str, message: str) -> Verdict:
        """The ruling on an item."""
        return Verdict(
            item=item,
            grade=self.grade,
            basis=self.basis,
            rule=self.rule,
            source=self.source,
            sureness=self.sureness,
            message=message,
        )


def gravity(grade: Grade) -> int:
    """Greater is graver; ``sound`` is 0."""
    return _GRAVITY[grade]


def settle(row: Graded, rules: Rules) -> Ruling:
    """The row's grade in the country of ``rules``; borrowed grades rest on common practice."""
    code = next(code for code in (*rules.chain, *FALLBACK) if code in row.grades)
    found = row.grades[code]
    own = code in rules.chain and code != GENERIC
    source = rules.severity.sources[code].format(found.item)
    return Ruling(found.grade, Basis.LAW if own else Basis.COMMON_PRACTICE, row.id, source, found.sureness)


def by_degree(ruling: Ruling, row: Graded, item: Item, context: Context) -> tuple[Ruling, str]:
    """The ruling moved along the row's ladder by words of degree, with those; as it is without a ladder.

    A rung below the classes of the law rests on common practice.
    """
    degree = _degree(item, context) if row.rungs else None
    at = row.rungs.index(ruling.grade) + degree.step if degree else -1
    if degree is None or not 0 <= at < len(row.rungs):
        return ruling, ""
    grade = row.rungs[at]
    basis = ruling.basis if grade in FAILING else Basis.COMMON_PRACTICE
    return ruling._replace(
        grade=grade, basis=basis
    ), f"{degree.says}, so {grade.value} and not {ruling.grade.value}"


def _degree(item: Item, context: Context) -> Degree | None:
    """What was said of how much: a bad degree first; a slight one counts only in the item's own words."""
    negations = context.rules.severity.negations
    for degree in sorted(context.rules.severity.degrees, key=lambda row: -row.step):
        heard = context.words(item) if degree.step > 0 else spoken(item)
        slight = [words for row in context.rules.severity.degrees if row.step < 0 for words in row.words]
        if degree.step > 0:
            heard = [without(words, slight) for words in heard]
        if says(heard, degree.words, negations):
            return degree
    return None


def _holds(row: Graded, item: Item, context: Context) -> bool:
    part = vocabulary().components.get(item.component)
    if row.component and item.component not in row.component:
        return False
    if row.group and (part is None or part.group not in row.group):
        return False
    if row.share and not _within_share(row, item, context):
        return False
    return not row.said or context.says(item, row.said)


def _within_share(row: Graded, item: Item, context: Context) -> bool:
    """Whether a share was said ("one of four LEDs") and is no more than the row bears in this country."""
    found = [share for words in context.words(item) for share in shares(words, electrics().flashes.numbers)]
    code = next((code for code in (*context.rules.chain, *FALLBACK) if code in row.share), None)
    return bool(found) and code is not None and max(found) <= row.share[code]


def best(rows: Iterable[R], item: Item, context: Context, fits: Callable[[R], bool]) -> R | None:
    """The row that grades ``item``: what was said first, then the nearest place, then the gravest."""

    def rank(row: R) -> tuple[bool, bool, bool, bool, int]:
        narrow = isinstance(row, ReadingRow) and bool(row.quantity)
        grave = gravity(settle(row, context.rules).grade)
        return bool(row.said or row.share), bool(row.component), narrow, bool(row.group), grave

    return max((row for row in rows if fits(row) and _holds(row, item, context)), key=rank, default=None)


def reading_ruling(reading: Reading, context: Context, side: str, basis: Basis) -> Ruling | None:
    """Grade of a reading on that side of a limit of that basis; sides as in ``ReadingRow``."""
    row = best(
        context.rules.severity.readings,
        reading,
        context,
        lambda row: (
            side in row.side
            and (not row.quantity or reading.quantity in row.quantity)
            and row.basis in (None, basis)
        ),
    )
    return settle(row, context.rules) if row else None
