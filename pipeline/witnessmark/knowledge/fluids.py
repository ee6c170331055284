"""Grades of brake fluid and oil, read from ``models/limits/fluids.yaml``."""

from __future__ import annotations

from functools import cache

from witnessmark.knowledge.rows import Sureness, Words, parse_row, refuse, refuse_twins, sections
from witnessmark.types import Frozen

FILE = "limits/fluids.yaml"


class BrakeFluid(Frozen):
    """One grade of brake fluid; boiling points are least ones, in °C."""

    id: str
    base: str
    dry_degC: float | None = None  # noqa: N815 - units keep their case
    wet_degC: float | None = None  # noqa: N815
    colour: str


class BrakeFluids(Frozen):
    """All grades of brake fluid."""

    source: str
    sureness: Sureness
    grades: tuple[BrakeFluid, ...]
    remark: str


class Winter(Frozen):
    """A winter grade: [most viscosity in mPa·s, at °C] for cranking and pumping; least mm²/s at 100 °C."""

    cranking: tuple[float, float]
    pumping: tuple[float, float]
    kv: float


class Winters(Frozen):
    """All winter grades."""

    source: str
    sureness: Sureness
    grades: dict[str, Winter]


class Viscosity(Frozen):
    """A grade at 100 °C: kinematic viscosity [from, up to] in mm²/s, least HTHS in mPa·s at 150 °C."""

    kv: tuple[float, float]
    hths: float


class Viscosities(Frozen):
    """All grades at 100 °C."""

    source: str
    sureness: Sureness
    grades: dict[str, Viscosity]


class Forty(Frozen):
    """The 40 grade's other HTHS figure and the winter grades it goes with."""

    hths: float
    winter: tuple[str, ...]


class FourStroke(Frozen):
    """A JASO T903 grade with its friction indices [from, up to]."""

    wet_clutch: bool
    dynamic: tuple[float, float]
    static: tuple[float, float]
    stop: tuple[float, float]


class FourStrokes(Frozen):
    """All of JASO T903."""

    source: str
    sureness: Sureness
    grades: dict[str, FourStroke]
    remark: str


class TwoStroke(Frozen):
    """A JASO M345 grade: least indices of smoke and exhaust blocking."""

    smoke: float | None = None
    blocking: float | None = None


class TwoStrokes(Frozen):
    """All of JASO M345, in rising order."""

    source: str
    sureness: Sureness
    grades: dict[str, TwoStroke]
    remark: str


class Fluids(Frozen):
    """The file."""

    brake: BrakeFluids
    sae_w: Winters
    sae: Viscosities
    sae_40: Forty
    jaso: FourStrokes
    jaso_two: TwoStrokes
    letters: dict[str, Words]

    def brake_fluid(self, grade: str) -> BrakeFluid | None:
        """The row of a grade such as ``DOT 5.1``, spaces and case aside."""
        plain = _plain(grade)
        return next((row for row in self.brake.grades if _plain(row.id) == plain), None)


def _plain(text: str) -> str:
    return text.replace(" ", "").upper()


@cache
def fluids() -> Fluids:
    """The file, checked.

    Raises:
        KnowledgeError: on a wrong row, or words for a grade that is not listed.
    """
    found = parse_row(Fluids, sections(FILE, Fluids.model_fields), FILE, "tables")
    refuse_twins((row.id for row in found.brake.grades), FILE)
    if unknown := set(found.letters) - {*found.jaso.grades, *found.jaso_two.grades}:
        refuse(f"letters: {min(unknown)!r} is not a grade", FILE)
    return found
