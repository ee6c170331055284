"""Chain sizes and how their length is counted, read from ``models/limits/chains.yaml``."""

from __future__ import annotations

from functools import cache

from witnessmark.knowledge.rows import Sureness, Words, parse_row, refuse, refuse_twins, sections
from witnessmark.types import Frozen

FILE = "limits/chains.yaml"


class Chain(Frozen):
    """One size of chain."""

    id: str
    pitch_mm: float
    limit_20_mm: float | None = None
    """Makers' usual limit of 20 pitches."""
    source: str
    sureness: Sureness


class Nouns(Frozen):
    """What was counted."""

    pitches: Words
    pins: Words


class Chains(Frozen):
    """The file."""

    chains: tuple[Chain, ...]
    sizes_said: dict[str, Words]
    counts: dict[int, Words]
    nouns: Nouns
    span: Words
    ceiling: float
    governs: float
    implausible: tuple[float, float]


@cache
def chains() -> Chains:
    """The file, checked.

    Raises:
        KnowledgeError: on a wrong row, a size listed twice or words for a size that is not listed.
    """
    found = parse_row(Chains, sections(FILE, Chains.model_fields), FILE, "tables")
    refuse_twins((row.id for row in found.chains), FILE)
    if unknown := set(found.sizes_said) - {row.id for row in found.chains}:
        refuse(f"sizes_said: {min(unknown)!r} is not a size", FILE)
    return found
