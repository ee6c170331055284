"""How batteries, lamps and fault codes are read, from ``models/limits/electrics.yaml``."""

from __future__ import annotations

from functools import cache

from witnessmark.knowledge.figures import Chemistry
from witnessmark.knowledge.rows import Sureness, Words, parse_row, refuse_twins, sections
from witnessmark.types import Frozen

FILE = "limits/electrics.yaml"


class Battery(Frozen):
    """How the voltage of a rested battery depends on temperature, and what a meter leaves open."""

    volts_per_10_degF: float  # noqa: N815 - units keep their case
    reference_degF: float  # noqa: N815
    chemistries: tuple[Chemistry, ...]
    meter_percent: float
    charge_percent: float
    freezes: tuple[tuple[float, float], ...]
    source: str
    sureness: Sureness


class Aim(Frozen):
    """Band of a headlamp's dip, in per cent below the horizontal."""

    id: str
    jurisdiction: str
    up_to_mm: float | None = None
    """Height of the lamp's centre up to which it holds; None: above all others."""
    low: float
    high: float
    source: str
    section: str
    sureness: Sureness
    note: str = ""


class Flashes(Frozen):
    """How a blinking lamp is counted."""

    tens: Words
    ones: Words
    counts: dict[int, Words]
    says: str
    source: str
    sureness: Sureness

    @property
    def numbers(self) -> dict[str, int]:
        """Word → number."""
        return {word: number for number, words in self.counts.items() for word in words}


class Codes(Frozen):
    """How a code of letters and digits is built."""

    source: str
    sureness: Sureness
    systems: dict[str, str]
    generic: tuple[str, ...]
    maker: tuple[str, ...]
    split: dict[str, str]
    areas: dict[str, str]


class Electrics(Frozen):
    """The file."""

    battery: Battery
    aim: tuple[Aim, ...]
    wall_m: tuple[float, ...]
    flashes: Flashes
    codes: Codes


@cache
def electrics() -> Electrics:
    """The file, checked.

    Raises:
        KnowledgeError: on a wrong row or an id used twice.
    """
    found = parse_row(Electrics, sections(FILE, Electrics.model_fields), FILE, "tables")
    refuse_twins((row.id for row in found.aim), FILE)
    return found
