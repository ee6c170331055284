"""What recognisers print for trade words, from ``models/trade/misheard.yaml``."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from witnessmark.knowledge.files import read_yaml


class Misheard(NamedTuple):
    """One printed form, what was meant, and the words that must stand near it (none: always)."""

    heard: tuple[str, ...]
    meant: tuple[str, ...]
    before: frozenset[str] = frozenset()
    after: frozenset[str] = frozenset()
    next: frozenset[str] = frozenset()
    """Words of which one must stand right after it."""
    unless: frozenset[str] = frozenset()
    """Words before which it is never read so: "gear" before "change"."""
    never: frozenset[str] = frozenset()
    """Words of which none may stand shortly after it: "thread" of a bolt before "stripped"."""


@cache
def misheard() -> tuple[Misheard, ...]:
    """All rows, longest printed form first."""
    raw = read_yaml("trade/misheard.yaml")
    rows = [Misheard(tuple(h.split()), tuple(m.split())) for h, m in raw["always"].items()]
    for row in raw["near"]:
        kinds = ("before", "after", "next", "unless", "never")
        sides = [frozenset(str(w) for w in row.get(kind, ())) for kind in kinds]
        rows += [Misheard(tuple(str(h).split()), tuple(row["meant"].split()), *sides) for h in row["heard"]]
    return tuple(sorted(rows, key=lambda r: -len(r.heard)))


@cache
def by_sound() -> dict[str, tuple[tuple[str, ...], ...]]:
    """Role (part, condition) → words of the trade that are found by their sound."""
    raw = read_yaml("trade/misheard.yaml")["by_sound"]
    return {role: tuple(tuple(str(p).split()) for p in phrases) for role, phrases in raw.items()}
