"""How parts wear and what a forecast needs, read from ``models/wear.yaml``."""

from __future__ import annotations

from functools import cache
from typing import Annotated, Literal

from pydantic import Field

from witnessmark.knowledge.rows import (
    ComponentId,
    QuantityId,
    Sureness,
    UnitId,
    parse_row,
    parse_rows,
    refuse,
    refuse_twins,
    sections,
)
from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.types import Frozen
from witnessmark.units import convert

FILE = "wear.yaml"
Positive = Annotated[float, Field(gt=0)]


class Wear(Frozen):
    """How one quantity of one part wears; ``gauge`` and ``jump`` are in ``unit``."""

    id: str
    component: ComponentId
    quantity: QuantityId
    way: Literal["falls", "rises"]
    unit: UnitId
    gauge: Positive
    """How far a reading may be off, in 95 of 100 cases."""
    jump: Positive
    """A reading better than the one before by more than this is of a new part."""
    horizon: Positive
    """Kilometres beyond which nothing is said."""
    fresh: Positive
    """A value near no limit; the limit that such a reading is held against is the one that holds."""
    source: str
    sureness: Sureness

    def better(self, one: float, other: float) -> float:
        """By how much the first reading shows less wear than the second."""
        return one - other if self.way == "falls" else other - one


class Least(Frozen):
    """What a forecast needs at least."""

    readings: Annotated[int, Field(ge=2)]
    km: Positive
    days: Positive
    years: Positive
    """No date further off than this."""


class LookAgain(Frozen):
    """When a part is to be looked at again."""

    share: Annotated[float, Field(gt=0, le=1)]
    """Of the distance to the early bound."""
    km: Positive
    months: Positive


class WearRules(Frozen):
    """The file."""

    parts: tuple[Wear, ...]
    least: Least
    unsure: tuple[str, ...]
    """Doubts that a confirmation does not settle."""
    roughly: tuple[str, ...]
    """Phrases that say that a figure is none to reckon with."""
    look_again: LookAgain
    normal: Positive
    quantiles: Annotated[tuple[tuple[Positive, Positive], ...], Field(min_length=1)]
    reasons: dict[str, str]
    words: dict[str, str]

    def of(self, component: str, quantity: str) -> Wear | None:
        """How a quantity of a part wears; None where it does not, or where nobody has said how."""
        same = (component, quantity)
        return next((row for row in self.parts if (row.component, row.quantity) == same), None)

    def student(self, freedom: int) -> float:
        """Two-sided 95 % quantile of Student's t; that of the last row for more degrees of freedom."""
        return self.quantiles[min(freedom, len(self.quantiles)) - 1][0]

    def chi_square(self, freedom: int) -> float:
        """Upper 5 % quantile of chi-square; that of the last row for more degrees of freedom."""
        return self.quantiles[min(freedom, len(self.quantiles)) - 1][1]


def _check(found: WearRules) -> None:
    refuse_twins((row.id for row in found.parts), FILE)
    refuse_twins((f"{row.component} {row.quantity}" for row in found.parts), FILE)
    for row in found.parts:
        canonical, name = vocabulary().quantities[row.quantity]
        try:
            convert(1.0, row.unit, canonical or "")
        except ValueError:
            refuse(f"row {row.id}: {row.unit} does not measure {name}", FILE)


@cache
def wear_rules() -> WearRules:
    """The file, checked.

    Raises:
        KnowledgeError: on a bad row, an id or a part used twice, or a unit of another kind.
    """
    raw = sections(FILE, WearRules.model_fields)
    parts = parse_rows(Wear, raw.get("parts"), FILE, "parts")
    found = parse_row(WearRules, {**raw, "parts": parts}, FILE, "beside parts")
    _check(found)
    return found
