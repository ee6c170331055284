"""Tyre markings and pressures, read from ``models/limits/tyres.yaml``."""

from __future__ import annotations

from functools import cache

from witnessmark.knowledge.rows import Sureness, Words, parse_row, sections
from witnessmark.types import Frozen

FILE = "limits/tyres.yaml"


class LoadIndex(Frozen):
    """What a tyre carries."""

    source: str
    sureness: Sureness
    kg: dict[int, float]


class Speed(Frozen):
    """How fast a tyre may run."""

    source: str
    sureness: Sureness
    km_h: dict[str, int]
    from_memory: frozenset[str]
    above: dict[str, int]
    """Markings that only say what they exceed."""

    def sure(self, symbol: str) -> Sureness:
        """How sure the figure of one symbol is."""
        return "memory" if symbol in self.from_memory else self.sureness


class Alpha(Frozen):
    """Nearest metric sizes of the alphanumeric ones; for comparison only."""

    source: str
    sureness: Sureness
    metric: dict[str, str]


class Plausible(Frozen):
    """Usual spans of the parts of a size, each (low, high)."""

    source: str
    sureness: Sureness
    width_mm: tuple[float, float]
    aspect: tuple[float, float]
    rim_in: tuple[float, float]
    width_in: tuple[float, float]


class Gas(Frozen):
    """Constants of the pressure correction."""

    source: str
    sureness: Sureness
    reference_degC: float  # noqa: N815 - units keep their case
    hot_above_degC: float  # noqa: N815
    ambient_bar: float


class Tyres(Frozen):
    """The file."""

    load_index: LoadIndex
    speed: Speed
    alpha: Alpha
    plausible: Plausible
    structure: dict[str, str]
    diagonal_words: Words
    gas: Gas
    laden: Words


@cache
def tyres() -> Tyres:
    """The file, checked.

    Raises:
        KnowledgeError: on a missing or wrong table.
    """
    return parse_row(Tyres, sections(FILE, Tyres.model_fields), FILE, "tables")
