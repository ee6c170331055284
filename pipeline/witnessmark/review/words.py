"""Finds vocabulary by id or name, and the nearest names for a typing slip."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache

from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.units import UNITS, text_of


@cache
def component_names() -> dict[str, str]:
    """Component id → name."""
    return {part.id: part.name for part in vocabulary().components.values()}


@cache
def quantity_names() -> dict[str, str]:
    """Quantity id → name."""
    return {key: name for key, (_, name) in vocabulary().quantities.items()}


@cache
def unit_names() -> dict[str, str]:
    """Unit → the sign it is printed with."""
    return {unit: text_of("", unit).strip() for unit in UNITS}


def find(word: str, names: Mapping[str, str]) -> str | None:
    """The id that is, or is called, ``word``; case and underscores do not matter."""
    wanted = _plain(word)
    by_id = {_plain(key): key for key in names}
    by_name = {_plain(name): key for key, name in names.items()}
    return by_id.get(wanted) or by_name.get(wanted)


def nearest(word: str, names: Mapping[str, str], most: int = 4) -> tuple[str, ...]:
    """Names that ``word`` may be a slip for, the likeliest first."""
    shown = {_plain(key): name for key, name in names.items()} | {_plain(n): n for n in names.values()}
    close = get_close_matches(_plain(word), shown, n=most, cutoff=0.5)
    containing = [plain for plain in shown if _plain(word) and _plain(word) in plain]
    return tuple(dict.fromkeys(shown[plain] for plain in (*close, *containing)))[:most]


def _plain(word: str) -> str:
    return " ".join(word.casefold().replace("_", " ").split())
