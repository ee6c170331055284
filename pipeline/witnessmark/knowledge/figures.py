"""Row types of ``models/limits``: figures, and what may surround them."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from witnessmark.knowledge.rows import ComponentId, Components, QuantityId, Sureness, UnitId, Words
from witnessmark.types import Basis, End, Frozen, Grade

GENERIC = "generic"
"""The country code of what holds everywhere; never law."""

MachineClass = Literal["moped", "light_motorcycle", "motorcycle"]
Chemistry = Literal["flooded", "agm", "lithium"]
Rims = Literal["steel", "alloy"]


class MachineFacts(Frozen):
    """What limits may depend on; None is "not known"."""

    machine_class: MachineClass | None = None
    capacity_cc: float | None = None
    chemistry: Chemistry | None = None
    """Of the battery."""
    rims: Rims | None = None
    fluid: str | None = None
    """Grade of the brake fluid, such as ``DOT 4``."""
    clutch: Literal["wet", "dry"] | None = None
    """``wet``: it runs in the engine's oil."""
    rear_teeth: int | None = None
    """Teeth of the rear sprocket."""


class MachineIs(Frozen):
    """A condition on the machine. Nothing set: every machine."""

    over_cc: float | None = None
    up_to_cc: float | None = None
    classes: tuple[MachineClass, ...] = ()
    chemistry: Chemistry | None = None
    rims: Rims | None = None
    fluid: tuple[str, ...] = ()
    assume: str | None = None
    """What is taken for granted when the machine is not known; without it the row then does not apply."""

    def fits(self, machine: MachineFacts) -> bool | None:
        """Whether the machine is so; None when that is not known."""
        capacity = machine.capacity_cc
        checks = (
            self.over_cc is None or (None if capacity is None else capacity > self.over_cc),
            self.up_to_cc is None or (None if capacity is None else capacity <= self.up_to_cc),
            _among(machine.machine_class, self.classes),
            _among(machine.chemistry, (self.chemistry,) if self.chemistry else ()),
            _among(machine.rims, (self.rims,) if self.rims else ()),
            _among(machine.fluid, self.fluid),
        )
        return False if False in checks else None if None in checks else True


def _among(fact: str | None, wanted: tuple[str, ...]) -> bool | None:
    return True if not wanted else None if fact is None else fact in wanted


class Figure(Frozen):
    """A limit or specification of one quantity of one component, in ``unit``."""

    id: str
    component: ComponentId
    end: End | None = None
    quantity: QuantityId
    kind: Literal["low", "high", "target", "range", "none"]
    """``none``: the rule has no figure; ``says`` tells what it wants instead."""
    low: float | None = None
    high: float | None = None
    target: float | None = None
    unit: UnitId | None = None
    reached: bool = False
    """Whether a reading equal to the limit breaks it."""
    laden: bool = False
    """Whether it is for two riders or luggage; it then holds only when that was said, instead of others."""
    grade: Grade | None = None
    """Grade of a reading that breaks it; None leaves that to ``severity.yaml``."""
    says: str = ""
    """A sentence for the technician when it is broken (always, for kind ``none``)."""
    note: str = ""
    """For whoever maintains the file."""

    @model_validator(mode="after")
    def _figures_fit_kind(self) -> Self:
        wanted = {
            "low": {"low"},
            "high": {"high"},
            "target": {"target"},
            "range": {"low", "high"},
            "none": set(),
        }
        given = {name for name in ("low", "high", "target") if getattr(self, name) is not None}
        if given != wanted[self.kind]:
            raise ValueError(f"kind {self.kind} wants {sorted(wanted[self.kind])}, not {sorted(given)}")
        if (self.unit is None) != (self.kind == "none"):
            raise ValueError("a figure needs a unit, and only a figure has one")
        if self.kind == "none" and not (self.grade and self.says):
            raise ValueError("kind none needs grade and says")
        return self


class LimitRow(Figure):
    """A figure of the law or of common practice."""

    jurisdiction: str
    machine: MachineIs = MachineIs()
    said: Words = ()
    """The row holds only when the technician used one of these phrases."""
    basis: Basis
    source: str
    section: str = ""
    sureness: Sureness
    edition: str = ""
    """Which text was read, where there are several: a year, a revision."""
    read: date | None = None
    verify: bool = False
    """Whether it is too unsure to pass by: what meets it is advised on (law) or ungraded, never sound."""

    @model_validator(mode="after")
    def _basis_fits(self) -> Self:
        if self.basis not in (Basis.LAW, Basis.COMMON_PRACTICE):
            raise ValueError("a row is law or common practice")
        if self.basis is Basis.LAW and self.jurisdiction == GENERIC:
            raise ValueError("no law holds everywhere")
        if self.basis is Basis.COMMON_PRACTICE and self.grade is None:
            raise ValueError("common practice says its grade")
        return self


class Margin(Frozen):
    """How near to a limit that it meets a reading must be to be advised on."""

    id: str
    component: ComponentId
    quantity: QuantityId
    within: float
    unit: UnitId
    says: str


class Ask(Frozen):
    """What to do about a reading for which no limit is declared."""

    id: str
    component: ComponentId
    quantity: QuantityId
    says: str
    source: str
    sureness: Sureness


class Said(Frozen):
    """What words say of the machine: one fact of ``MachineFacts``."""

    id: str
    fact: Literal["chemistry", "rims", "machine_class", "clutch", "fluid"]
    value: str
    component: Components = ()
    """Only in talk of these; empty: of any."""
    said: Annotated[Words, Field(min_length=1)]


class Tolerance(Frozen):
    """How far a reading may be from a target; rows for the same quantity form a ladder.

    In per cent of the target, where ``unit`` is per cent and the quantity is not.
    """

    id: str
    component: ComponentId | None = None
    quantity: QuantityId
    under: float
    over: float
    unit: UnitId
    grade: Grade


class Curve(Frozen):
    """What a reading stands for, interpolated between points."""

    id: str
    component: ComponentId
    quantity: QuantityId
    machine: MachineIs = MachineIs()
    unit: UnitId
    gives: str
    """Words with ``{}`` for the value in per cent."""
    points: Annotated[tuple[tuple[float, float], ...], Field(min_length=2)]
    source: str
    sureness: Sureness


class AgeBand(Frozen):
    """What the age of a part calls for; age alone is never graver than advisory."""

    id: str
    component: ComponentId
    from_years: float
    grade: Literal[Grade.SOUND, Grade.ADVISORY]
    says: str
    source: str
    sureness: Sureness


class Family(Frozen):
    """Grades that may stand in for each other, in rising order."""

    id: str
    component: ComponentId
    quantity: QuantityId
    members: tuple[str, ...]
